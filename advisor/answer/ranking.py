"""From firings to standings: what the conclusions about each finish add up to, and how the finishes rank."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.trace import Firing, Trace

Verdict = Literal["suits", "suits if", "ruled out"]


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


def weights(base: RuleBase, memory: Mapping[str, Value]) -> dict[str, int]:
    """What one point under each criterion counts, by the customer's importance."""
    normal = base.importance["normal"]
    return {
        name: base.importance.get(memory[criterion.importance].choice, normal)
        for name, criterion in base.criteria.items()
    }


def standings(base: RuleBase, memory: Mapping[str, Value], trace: Trace) -> list[Standing]:
    """All finishes, best first: those not ruled out by points, then the others.

    Equal points: the one with fewer conditions first, then in the order of the rule base.
    """
    weight = weights(base, memory)
    found = [_standing(finish, trace.about(finish), weight) for finish in base.finishes]
    order = {finish.id: finish.order for finish in base.finishes.values()}
    return sorted(found, key=lambda s: (s.verdict == "ruled out", -s.total, len(s.conditions), order[s.finish]))


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
