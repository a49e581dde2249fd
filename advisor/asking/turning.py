"""What would turn the answer: the smallest changes of facts that change it, or that bring a given finish back.

`searching` finds the sets by the many-cases reading; every set that is handed out has been stated, as anybody would
state it, and run through the engine. What one can do or find out comes before what only another use of the floor, or
nobody, can change.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from advisor.answer.advising import answer_alone
from advisor.answer.ranking import NAMING, Recommendation, Standing
from advisor.answer.variants import Variants, variants_of
from advisor.asking.changes import Change, candidates, said
from advisor.asking.scanning import Wholes
from advisor.asking.searching import Found, Goal, Search, changing
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase, Fault, nearest
from advisor.facts.case import Case, say
from advisor.facts.memory import working_memory
from advisor.model.advice import Answer
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.wording import wording

Group = Literal["finding out", "yours", "use", "fixed"]
GROUPS: tuple[Group, ...] = get_args(Group)  # in the order in which they are handed out
SHOWN: dict[Group, int] = {"finding out": 10, "yours": 8, "use": 4, "fixed": 4}  # sets handed out of each
SHOWN_EACH = 3  # and of each with one outcome
SHOWN_ALIKE = 2  # and of each on the same facts


@dataclass(frozen=True)
class Turn:
    """A minimal set of changes, and what the engine says of the floor with them."""

    changes: tuple[Change, ...]
    cost: float
    answer: Answer
    verdict: str  # of the finish asked about; empty where none was

    @property
    def group(self) -> Group:
        """Where it is told, by the hardest of its changes' ways."""
        return group_of(self.changes)


def group_of(changes: Iterable[Change]) -> Group:
    """What nobody can change, what another use would, what may turn out so, or what one can bring about."""
    ways = {change.way for change in changes}
    if "fixed" in ways:
        return "fixed"
    if "use" in ways:
        return "use"
    return "finding out" if ways & {"find out", "test"} else "yours"


@dataclass(frozen=True)
class Turning:
    """What was asked, the sets found (by group, cheapest first), and what was tried.

    Attributes:
        found: how many sets work, those not handed out too.
        everything: whether all that differ were to be handed out.
        tried: how many sets of each size were tried.
        nearest: whether not all sets of three were tried that could work, but those that come nearest.
        proved: whether pairs that were not tried are proved to turn nothing.
        all_threes: whether threes were tried that way, too.
        idle: measurements not yet made of which no reading is in any set that works.
    """

    question: str
    now: Answer
    turns: tuple[Turn, ...]
    found: int
    tried: Mapping[int, int]
    nearest: bool
    proved: bool
    all_threes: bool
    idle: tuple[str, ...]
    everything: bool = False


def would_turn(
    reasoner: Reasoner,
    case: Case,
    finish: str | None = None,
    most: int = 3,
    leads: bool = False,
    everything: bool = False,
    today: date | None = None,
) -> Turning:
    """The smallest changes that turn the answer.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        finish: the finish to bring back; if none, any other recommendation counts.
        most: how many facts may change together, 1 to 3.
        leads: the finish must become the leading one, even if it is ruled out now.
        everything: hand out all sets that work, not only the cheapest few of each outcome.
        today: the date against which tests age; the current one if not given.

    Raises:
        BadCase: there is no such finish.
    """
    base = reasoner.base
    variants = variants_of(reasoner)
    given = case.facts
    now, ranked = answer_alone(reasoner, given)
    goal = _goal(base, variants, now, ranked, finish, leads)
    changes = candidates(variants, case)
    search = Search(variants, case.as_read, changes, goal)
    found = sorted(search.minimal(most), key=lambda each: _order(changes, given, each.places))
    kept = list(_nearest_only(changes, given, found, by_outcome=finish is None))
    confirmed = _confirmed(reasoner, case, today or date.today(), changes, kept, goal, finish, everything)
    by_words: dict[frozenset[tuple[str, str]], Turn] = {}
    for turn in confirmed:  # what is told in the same words is told once
        by_words.setdefault(frozenset((each.fact, each.to) for each in turn.changes), turn)
    turns = tuple(by_words.values())
    moved = {changes[place].fact for each in found for place in each.places}
    unmade = dict.fromkeys(change.fact for change in changes if change.way == "find out")
    idle = tuple(name for name in unmade if base.facts[name].change == "test" and name not in moved)
    return Turning(
        goal.question,
        now,
        turns,
        len(found),
        search.tried,
        search.nearest,
        goal.any_other,
        search.all_threes,
        idle,
        everything,
    )


def _goal(
    base: RuleBase, variants: Variants, now: Answer, ranked: list[Standing], finish: str | None, leads: bool
) -> Goal:
    if finish is None:
        return changing(variants, Recommendation.of(now.kind, now.leading))
    if finish not in base.finishes:
        known = ", ".join(base.finishes)
        raise BadCase([Fault("turn", wording("asking.no_finish", name=finish), known, nearest(finish, base.finishes))])
    at, name = variants.finishes.index(finish), base.finishes[finish].name
    standing = next(each for each in ranked if each.finish == finish)
    if standing.verdict == "ruled out" and not leads:
        return Goal(
            wording("asking.question.back", finish=name),
            lambda judged: ~judged.out[at],
            lambda _, others: any(each.finish == finish and each.verdict != "ruled out" for each in others),
            lambda judged: judged.reasons_out[at],
        )
    return Goal(
        wording("asking.question.first", finish=name),
        lambda judged: (judged.leading == at) & judged.names_a_finish,
        lambda answer, _: answer.leading == finish and answer.kind in NAMING,
        lambda judged: ~judged.names_a_finish * 10_000 + judged.reasons_out[at] * 1000 + judged.behind(at),
    )


def _order(
    changes: list[Change], given: Mapping[str, Value], places: tuple[int, ...]
) -> tuple[int, bool, float, int, float]:
    """By group; only finding out before what else has to be so or measured anew; cheapest, fewest, least steps."""
    some = [changes[place] for place in places]
    steps = (abs(_step(given.get(change.fact), change)) for change in some)
    more = any(change.way != "find out" for change in some)
    return GROUPS.index(group_of(some)), more, sum(change.cost for change in some), len(some), sum(steps)


def _step(now: Value | None, change: Change) -> float:
    """By how much of itself a stated number would change; 0 for a choice or where nothing was stated."""
    if now is None or not now.known or now.interval is None:
        return 0.0
    assert change.value.interval is not None
    middle = (now.interval.low + now.interval.high) / 2
    return (change.value.interval.low - middle) / max(abs(middle), 1e-9)


def _nearest_only(
    changes: list[Change], given: Mapping[str, Value], found: Iterable[Found], by_outcome: bool
) -> Iterator[Found]:
    """Of sets that move the same numbers the same way only the first, which has the smallest steps."""
    seen: set[object] = set()
    for each in found:
        moves = frozenset(_move(given, changes[place]) for place in each.places)
        key = (moves, each.kind, each.leading) if by_outcome else moves
        if key not in seen:
            seen.add(key)
            yield each


def _move(given: Mapping[str, Value], change: Change) -> tuple[str, str]:
    if change.value.interval is None:
        return change.fact, change.value.choice
    return change.fact, "up" if _step(given.get(change.fact), change) > 0 else "down"


def _confirmed(
    reasoner: Reasoner,
    case: Case,
    today: date,
    changes: list[Change],
    found: Iterable[Found],
    goal: Goal,
    finish: str | None,
    everything: bool,
) -> Iterator[Turn]:
    """The cheapest sets that the engine bears out when they are stated; unless all, of each outcome a few."""
    shown: Counter[object] = Counter()
    memory, wholes = working_memory(reasoner.base, case.facts), Wholes(variants_of(reasoner), case, goal)
    for places, kind, leading in found:
        some = tuple(changes[place] for place in places)
        group = group_of(some)
        outcome, named = (kind, leading, group), frozenset(change.fact for change in some)
        enough = shown[group] >= SHOWN[group] or shown[outcome] >= SHOWN_EACH or shown[named] >= SHOWN_ALIKE
        if enough and not everything:
            continue
        try:
            changed = say(reasoner.base, case, said(some), today)
        except BadCase:
            continue
        answer, ranked = answer_alone(reasoner, changed.facts, like=memory)
        if not goal.one(answer, ranked):
            continue
        shown.update([outcome, group, named])
        told = wholes.whole(some)
        if told != some:  # the answer handed out is that of the values told, which what is said with them may undo
            as_told = answer_alone(reasoner, say(reasoner.base, case, said(told), today).facts, like=memory)
            if goal.one(*as_told):
                answer, ranked = as_told
            else:
                told = some
        verdict = next((each.verdict for each in ranked if each.finish == finish), "")
        yield Turn(told, sum(change.cost for change in some), answer, verdict)
