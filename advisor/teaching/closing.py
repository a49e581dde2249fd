"""What a lesson asks at its end: what would change your mind, and which hazards the floor and the work carry.

The right answers are the rule base's: of the facts that can turn the answer alone (`asking/bearing_facts`), and of the
hazards that the advice tells.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

from advisor.answer.kind_words import outlook
from advisor.answer.ranking import NAMING
from advisor.answer.variants import variants_of
from advisor.asking.bearing_facts import turning_alone
from advisor.asking.scanning import IMPOSSIBLE, Scan
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.model.advice import Advice
from advisor.model.knowledge import RuleBase
from explanations.wording import label, wording

CHOICES = 4  # to choose from
HAZARDS, OTHERS = 6, 2  # to choose from, those that are there and others; others at the least


@dataclass(frozen=True)
class MindChange:
    """A fact with a value, and what the answer would be with it: empty where it would be the same."""

    words: str
    to: str


def mind_changes(reasoner: Reasoner, case: Case, random: Random) -> list[MindChange]:
    """One fact that would turn the answer alone, and some that would not; none where no fact does.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        random: by which they are drawn.
    """
    base, scan = reasoner.base, Scan(variants_of(reasoner), case)
    alone = turning_alone(scan)
    if not alone:
        return []
    one = random.choice(sorted(alone, key=lambda each: each.cost)[:CHOICES])
    turns = MindChange(_named(one.fact, one.values), outcome_told(base, one.to[0]))
    idle = [
        MindChange(_named(name, value.shown), "")
        for name, marks in scan.marks.items()
        if base.facts[name].choices and IMPOSSIBLE not in marks and set(marks) == {scan.now}
        for value in scan.points[name][-1:]
        if name not in case.facts or case.facts[name].choice != value.choice
    ]
    drawn = [turns, *random.sample(idle, min(CHOICES - 1, len(idle)))]
    random.shuffle(drawn)
    return drawn


def _named(fact: str, values: str) -> str:
    return wording("pictures.named", name=label("fact", fact), value=values)


def outcome_told(base: RuleBase, outcome: str) -> str:
    """An outcome of `bearing_facts` in a few words."""
    kind, _, finish = outcome.partition(": ")
    return outlook(kind, base.finishes[finish].name if kind in NAMING else "")  # type: ignore[arg-type]


def hazards_of(base: RuleBase, advice: Advice, random: Random) -> tuple[Mapping[str, str], set[str]]:
    """Hazards to choose from, by their ids, and which of them floor or leading finish carry: all of the floor's own.

    Args:
        base: the rule base.
        advice: the answer.
        random: by which they are drawn.
    """
    leading = advice.answer.leading
    drawn = [each.caution for each in advice.hazards if each.floor]
    of_work = [each.caution for each in advice.hazards if not each.floor and leading in each.finishes]
    there, told = {*drawn, *of_work}, {each.caution for each in advice.hazards}
    others = [name for name in base.cautions if name not in told]
    drawn += random.sample(of_work, min(max(0, HAZARDS // 2 - len(drawn)), len(of_work)))
    drawn += random.sample(others, min(max(OTHERS, HAZARDS - len(drawn)), len(others)))
    random.shuffle(drawn)
    return {name: base.cautions[name].named(name) for name in drawn}, there & set(drawn)
