"""What the verbs `why` and `turn` say, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import reduce
from textwrap import TextWrapper

from advisor.answer.kind_words import sheet_words
from advisor.asking.changes import Change
from advisor.asking.explaining import Explained
from advisor.asking.least_facts import Facts
from advisor.asking.missing import Failed
from advisor.asking.turning import Group, Turning
from advisor.model.bearing import FactBearing, FactValues
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from explanations.telling import Level, tell
from explanations.wording import label, listed, wording
from explanations.words import sentence

WIDTH = 79
GROUPS: tuple[Group, ...] = ("finding out", "yours", "use", "fixed")


def why_text(told: Explained, finish: str | None, rule: str, level: Level, least: bool, most: int = 2) -> str:
    """Why the answer, the standing of a finish, or the silence of a rule; in full, of up to so many facts together."""
    if rule:
        return "\n".join(_rule_lines(told, finish, rule))
    text = wrapped(why_lines(told, finish, level, most))
    if finish is not None and (sheet := told.advice_of(finish).by_sheet):
        numbers = (f"- {each}" for each in sheet_words(sheet))
        head = wording("asking.why.numbers", numbers=wording("product.numbers_of", name=sheet.product))
        text += "\n" + wrapped(["", head, *numbers])
    out = finish is not None and told.advice_of(finish).verdict == "ruled out"
    if out and finish:
        text += "\n" + wrapped(["", _resting(told.out_rests_on(finish), wording("asking.why.is_out"))])
    elif least:
        text += "\n" + wrapped(["", _resting(told.answer_rests_on(), wording("asking.why.leads"))])
    return text


def why_lines(told: Explained, finish: str | None, level: Level, most: int = 2) -> list[str]:
    """Why the answer, or the standing of a finish, a line a sentence or item."""
    aside = [
        wording("asking.why.aside", unknown=sentence(wording("asking.unknown", says=each.says)))
        for each in told.advice.set_aside
    ]
    asked = told.advice.answer.asked
    before = [asked.sentence, ""] if asked and finish is None else []
    bearing = _bearing(told.facts(most), most) if level == "full" and finish is None else ()
    return [*before, *aside, *tell(told.graph, level, finish).splitlines(), *bearing]


def _bearing(facts: Sequence[FactBearing], most: int) -> Iterator[str]:
    """What turns the answer with others, up to so many, and what does not at all; what does alone is told before."""
    for bears in ("together", "too"):
        sets = {frozenset((each.fact, *(other.fact for other in each.others))): each for each in facts}
        told = [
            reduce(
                lambda first, second: wording("asking.turn.and", first=first, second=second), map(_with_values, some)
            )
            for some in ((each, *each.others) for each in sets.values() if each.bears == bears)
        ]
        if told:
            yield from ("", wording(f"asking.why.{bears}"), *(f"- {each}" for each in told))
    idle = [each for each in facts if each.bears == "not"]
    stated = [label("fact", each.fact) for each in idle if each.stated]
    open_ = len(idle) - len(stated)
    yield from ("", wording("asking.why.idle", facts=listed(stated), said=len(stated), open=open_, others=most - 1))


def _with_values(each: FactValues) -> str:
    return wording("pictures.named", name=label("fact", each.fact), value=each.values)


def _resting(facts: Facts, so: str) -> str:
    if not facts:
        return wording("asking.why.rests_on_none", so=so)
    named = [wording("asking.why.fact", fact=label("fact", name), value=each.shown) for name, each in facts.items()]
    return sentence(wording("asking.why.rests_on", so=so, facts=listed(named)))


def wrapped(lines: Iterable[str]) -> str:
    """Lines filled to the terminal's width, each with its own indent kept."""
    out = []
    for line in lines:
        bare = line.lstrip()
        indent = " " * (len(line) - len(bare))
        hang = indent + ("  " if bare.startswith("- ") else "")
        filler = TextWrapper(
            WIDTH, initial_indent=indent, subsequent_indent=hang, break_long_words=False, break_on_hyphens=False
        )
        out.append(filler.fill(bare))
    return "\n".join(out)


def _rule_lines(told: Explained, finish: str | None, rule: str) -> Iterator[str]:
    """Finishes that lack the same are told together; those that a rule does not judge by what they are, in one line."""
    lacking: dict[tuple[Failed, ...], list[str]] = {}
    unlike: list[str] = []
    for each in told.not_fired(rule, finish):
        if finish is None and any(failed.property for failed in each.failed):
            unlike.append(told.base.finishes[each.finish].name)
        else:
            lacking.setdefault(each.failed, []).append(each.finish)
    for failed, finishes in lacking.items():
        names = [told.base.finishes[each].name for each in finishes if each]
        key = f"asking.why.{'silent' if failed else 'fired'}{'_for' if names else ''}"
        yield wrapped([sentence(wording(key, rule=rule, finishes=listed(names) if names else ""))])
        yield wrapped(_failed_lines(failed, 1) if failed else _fired_lines(told, rule, finishes[0]))
    if unlike:
        yield wrapped([sentence(wording("asking.why.not_judged", finishes=listed(unlike, "or")))])


def _fired_lines(told: Explained, rule: str, finish: str) -> Iterator[str]:
    firings = [each for each in told.advice.trace.firings if (each.rule, each.finish) == (rule, finish)]
    yield from (f"  {each.because}" for each in firings)


def _failed_lines(failed: Iterable[Failed], depth: int) -> Iterator[str]:
    indent = "  " * depth
    for each in failed:
        asks = each.asks if each.property else wording("asking.why.asks", what=each.asks)
        key = "asking.why.failed_by" if each.short else "asking.why.failed"
        yield f"{indent}- {sentence(wording(key, asks=asks, now=each.now, by=each.short))}"
        for behind in each.behind[:3]:
            yield f"{indent}  {wording('asking.why.behind', rule=behind.rule)}"
            yield from _failed_lines(behind.failed[:3], depth + 2)


def turning_text(turning: Turning, base: RuleBase) -> str:
    """The sets found, what one can find out or do first, then what was tried and what is not listed."""
    lines = [turning.question, wording("asking.turn.now", answer=turning.now.sentence)]
    for group in GROUPS:
        turns = [each for each in turning.turns if each.group == group]
        if turns:
            lines += ["", wording(f"asking.turn.{group.replace(' ', '_')}")]
            for each in turns:
                lines += [
                    f"- {_changes(each.changes, base)}.",
                    wording("asking.turn.then", answer=each.answer.sentence),
                ]
    if not turning.turns:
        stopped = turning.now.kind == "professional"
        lines += ["", wording("asking.turn.none_before_the_call" if stopped else "asking.turn.none")]
    lines += ["", " ".join(_tried(turning))]
    if turning.idle:
        key = "asking.turn.idle_pairs" if 2 in turning.tried else "asking.turn.idle"
        lines += ["", wording(key, facts=listed((label("fact", fact) for fact in turning.idle), "or"))]
    return wrapped(lines)


def _tried(turning: Turning) -> Iterator[str]:
    """What was tried, and what was not."""
    singles, pairs, threes = (turning.tried.get(size, 0) for size in (1, 2, 3))
    yield wording("asking.turn.tried_pairs" if 2 in turning.tried else "asking.turn.tried", n=singles, pairs=pairs)
    if turning.proved and 2 in turning.tried:
        yield wording("asking.turn.proved")
    if turning.nearest:
        yield wording("asking.turn.nearest_of_all" if turning.proved else "asking.turn.nearest", n=threes)
    elif threes and turning.all_threes:
        yield wording("asking.turn.all_threes", n=threes)
    elif threes:
        yield wording("asking.turn.threes", n=threes)
    yield wording("asking.turn.again")
    if turning.found > len(turning.turns):
        more = turning.found - len(turning.turns)
        yield wording("asking.turn.alike" if turning.everything else "asking.turn.more", n=more)


def _changes(changes: Iterable[Change], base: RuleBase) -> str:
    parts = []
    for change in changes:
        found = change.way == "find out"
        key = "to_done" if not found else "to" if change.was == UNKNOWN else "to_assumed"
        means = "" if found else base.changes[change.way].means
        parts.append(
            wording(f"asking.turn.{key}", fact=label("fact", change.fact), value=change.to, was=change.was, means=means)
        )
    return _joined(parts)


def _joined(parts: Iterable[str]) -> str:
    return reduce(lambda first, second: wording("asking.turn.and", first=first, second=second), parts)
