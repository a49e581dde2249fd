"""What conclusions add up to: the one definition of how finishes rank and of which kind of answer is given.

Every reading comes from it: one case (here), many floors as columns (`many_answers`), as sets of bits (`judging`), and
the prover's formulas (`validation.audit.one_floor`). What is written here holds for whole numbers and arrays (`rank`)
and for anything with and, or and not (`by_kind`): sets of bits, arrays of flags, formulas. One floor is a set of one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple, TypeVar, get_args

from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, GroundRule
from advisor.model.rules import NeedKind
from advisor.model.standing import AnswerKind, Verdict
from advisor.model.values import Value
from explanations.trace import Firing, Trace

Some = TypeVar("Some")  # a set of floors: bits, flags, or a formula

VERDICTS: tuple[Verdict, ...] = get_args(Verdict)
KINDS: tuple[AnswerKind, ...] = get_args(AnswerKind)  # what says more comes first
NAMING: tuple[AnswerKind, ...] = ("finish", "test first")  # the kinds that name a finish

# The order of kinds of need. Of those that decide, whoever waits measures after it; the others as the work goes.
DECIDING: tuple[NeedKind, ...] = ("ask", "wait", "test", "repair", "prepare", "choose")
WORKING: tuple[NeedKind, ...] = ("ask", "test", "repair", "wait", "prepare", "choose")

Part = Literal["stops", "holds", "asks", "out", "condition", "waits", "points"]


def parts(base: RuleBase, conclusion: Conclusion) -> tuple[Part, ...]:
    """What a conclusion is to the answer; nothing, if it only builds on, warns or refers."""
    match conclusion.kind:
        case "refer":
            return ("stops",) if base.referrals[conclusion.name].stop else ()
        case "hold":
            return ("asks",) if base.needs[conclusion.name].kind == "ask" else ("holds",)
        case "rule_out":
            return ("out",)
        case "first":
            return ("condition", "waits") if base.needs[conclusion.name].decides else ("condition",)
        case "points":
            return ("points",)
    return ()


# What the kind of answer is decided by: the first that is so. Where none is, the leading finish is recommended.
# `waits`: the leading finish needs something that decides; `asks`: a question holds the floor.
_DECIDED_BY: tuple[tuple[Literal["stops", "holds", "asks", "nothing_left", "waits"], AnswerKind], ...] = (
    ("stops", "professional"),
    ("holds", "none yet"),
    ("asks", "ask first"),
    ("nothing_left", "none yet"),
    ("waits", "test first"),
)


def by_kind(
    everything: Some, *, stops: Some, holds: Some, asks: Some, nothing_left: Some, waits: Some
) -> dict[AnswerKind, Some]:
    """The floors that get each kind of answer: together all of them, and none twice.

    >>> by_kind(0b1111, stops=0b0001, holds=0b0011, asks=0b0100, nothing_left=0, waits=0)
    {'finish': 8, 'test first': 0, 'none yet': 2, 'ask first': 4, 'professional': 1}
    """
    so: dict[str, Any] = {
        "stops": stops, "holds": holds, "asks": asks, "nothing_left": nothing_left, "waits": waits
    }  # fmt: skip
    rest: Any = everything
    found: dict[AnswerKind, Any] = {}
    for ground, kind in _DECIDED_BY:
        here = rest & so[ground]
        found[kind] = found[kind] | here if kind in found else here
        rest = rest & ~so[ground]
    return {kind: rest if kind == "finish" else found[kind] for kind in KINDS}


# A finish's rank in one whole number of 32 bits: what counts more outweighs all that counts less.
CONDITION, POINT, RULED_OUT = 1 << 7, -(1 << 15), 1 << 30


def rank(out: Any, points: Any, conditions: Any, order: Any) -> Any:
    """Where a finish ranks; the least is the best: not ruled out, most points, fewest conditions, order of the rules.

    Args:
        out: whether it is ruled out. Whole numbers all, or arrays of them with 32 bits.
        points: weighted.
        conditions: how many needs come first.
        order: its place in the rule base.

    >>> rank(False, 3, 9, 20) < rank(False, 2, 0, 0) < rank(False, 2, 0, 1) < rank(False, 2, 1, 0) < rank(True, 9, 0, 0)
    True
    """
    return RULED_OUT * out + POINT * points + CONDITION * conditions + order


def is_left(ranked: Any) -> Any:
    """Whether a rank is that of a finish that is not ruled out."""
    return ranked < RULED_OUT // 2


def place_of(ranked: Any) -> Any:
    """The finish's place in the rule base, out of its rank."""
    return ranked & (CONDITION - 1)


def order_of(base: RuleBase) -> dict[str, int]:
    """Each finish's place in the order of the rule base."""
    return {each.id: place for place, each in enumerate(sorted(base.finishes.values(), key=lambda each: each.order))}


def has_room(base: RuleBase, rules: Iterable[GroundRule]) -> bool:
    """Whether so many finishes, needs and points cannot run into each other in a rank."""
    points: Counter[str] = Counter()
    for each in (conclusion for rule in rules for conclusion in rule.conclusions):
        points[each.finish] += abs(each.points)
    most = max(points.values(), default=0) * max(base.importance.values(), default=1)
    return len(base.finishes) <= CONDITION and len(base.needs) < -POINT // CONDITION and most < RULED_OUT // 2 // -POINT


class Recommendation(NamedTuple):
    """What an answer comes down to: its kind, and the finish that it recommends or waits for."""

    kind: AnswerKind
    finish: str = ""

    @classmethod
    def of(cls, kind: AnswerKind, leading: str | None) -> Recommendation:
        """Of an answer's kind and its leading finish."""
        return cls(kind, leading if leading and kind in NAMING else "")


@dataclass(frozen=True)
class Award:
    """Points that one rule awarded under one criterion, unweighted."""

    rule: str
    criterion: str
    points: int
    because: str


@dataclass(frozen=True)
class Standing:
    """Where one finish stands: ruled out by which firings, or on what conditions it suits; and its points."""

    finish: str
    verdict: Verdict
    ruled_out_by: tuple[Firing, ...]
    conditions: Mapping[str, tuple[Firing, ...]]  # need: the firings that ask for it
    awards: tuple[Award, ...]
    total: int  # points, each weighted by what the customer said matters


def weight_of(base: RuleBase, importance: str) -> int:
    """What one point counts under a criterion of such importance; one nobody spoke of counts as usual."""
    return base.importance.get(importance, base.importance["normal"])


def weights(base: RuleBase, memory: Mapping[str, Value]) -> dict[str, int]:
    """What one point under each criterion counts, by the customer's importance."""
    return {
        name: weight_of(base, memory[each.importance].choice if each.importance else "normal")
        for name, each in base.criteria.items()
    }


def standings(base: RuleBase, memory: Mapping[str, Value], trace: Trace) -> list[Standing]:
    """All finishes, best first (see `rank`)."""
    weight, order = weights(base, memory), order_of(base)
    about: dict[str, list[Firing]] = {finish: [] for finish in ("", *base.finishes)}
    for firing in trace.firings:
        about[firing.finish].append(firing)
    found = [_standing(finish, about[finish], weight) for finish in base.finishes]
    return sorted(
        found, key=lambda s: rank(s.verdict == "ruled out", s.total, len(s.conditions), order[s.finish])
    )  # fmt: skip


def best_unweighed(base: RuleBase, ranked: Iterable[Standing], high: str = "") -> str | None:
    """The finish that would lead if all criteria mattered alike, or all but one that matters most."""
    order, usual = order_of(base), base.importance["normal"]
    left = [each for each in ranked if each.verdict != "ruled out"]

    def place(standing: Standing) -> int:
        weighted = {name: base.importance["high"] if name == high else usual for name in base.criteria}
        points = sum(weighted[award.criterion] * award.points for award in standing.awards)
        return int(rank(False, points, len(standing.conditions), order[standing.finish]))

    return min(left, key=place).finish if left else None


def weights_that_turn(base: RuleBase, ranked: Iterable[Standing]) -> frozenset[str]:
    """The facts that weigh criteria of which one alone, said to matter much, would put another finish first."""
    ranked = list(ranked)
    leads = best_unweighed(base, ranked)
    return frozenset(
        each.importance for name, each in base.criteria.items() if best_unweighed(base, ranked, name) != leads
    )


def _standing(finish: str, firings: Iterable[Firing], weight: Mapping[str, int]) -> Standing:
    ruled_out: list[Firing] = []
    conditions: dict[str, list[Firing]] = {}
    awards: list[Award] = []
    for firing in firings:
        for conclusion in firing.conclusions:
            match conclusion.kind:
                case "rule_out":
                    ruled_out.append(firing)
                case "first":
                    conditions.setdefault(conclusion.name, []).append(firing)
                case "points":
                    awards.append(Award(firing.rule, conclusion.name, conclusion.points, firing.because))
    verdict: Verdict = "ruled out" if ruled_out else "suits if" if conditions else "suits"
    total = sum(weight[award.criterion] * award.points for award in awards)
    by_need = {need: tuple(asking) for need, asking in conditions.items()}
    return Standing(finish, verdict, tuple(ruled_out), by_need, tuple(awards), total)
