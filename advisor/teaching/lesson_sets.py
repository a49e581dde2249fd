"""Sets of lessons that together exercise chosen rules: as few floors as will do, from easy to hard.

The floors to choose from are the demo cases, an example floor for each rule (`witness`), and such examples laid
together as long as their facts agree. Which floors to take is a weighted set cover, solved as an integer program; one
with few facts gets more, so that there is something to ask for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

import numpy as np
import yaml

from advisor.demo import demo_cases
from advisor.engines.columns import columns_of
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import ManyCases, bounds_of
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase, BadRequest, Fault, nearest
from advisor.facts.case import Case, read_case
from advisor.facts.case_form import FORMAT
from advisor.facts.implied import with_implied
from advisor.model.contradictions import contradicted
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value, unknown
from advisor.reference.witness import Floors
from advisor.teaching.lessons import Lesson, played
from explanations.files import write_folder
from explanations.lessons import KINDS
from explanations.wording import label, listed, wording

TOGETHER = 12  # examples laid together on one floor, at most
SHUFFLES = 6  # orders in which examples are laid together
PATIENCE = 10.0  # seconds for the integer program; then the best cover found so far is taken
ENOUGH = 10  # facts of a floor, at least, so that something is left to ask for and to conclude
DETAIL = 0.001  # what a fact of a floor counts beside a whole lesson


@dataclass(frozen=True)
class Planned:
    """A lesson of a set: its floor, the wanted rules that it exercises, and how hard it is."""

    case: Case
    rules: tuple[str, ...]
    hardness: int  # rules that fire, and facts to keep in mind


@dataclass(frozen=True)
class LessonSet:
    """The lessons from easy to hard, and the wanted rules for which no floor was found."""

    lessons: tuple[Planned, ...]
    left_out: tuple[str, ...]


def rules_of(base: RuleBase, topics: Iterable[str]) -> list[str]:
    """The rules of these topics; all rules if none is named.

    Raises:
        BadRequest: there is no such topic.
    """
    known = dict.fromkeys(rule.topic for rule in base.rules.values())
    for topic in topics:
        if topic not in known:
            raise BadRequest(
                [Fault("topic", wording("lessons.no_topic", name=topic), ", ".join(known), nearest(topic, known))]
            )
    wanted = set(topics) or set(known)
    return [name for name, rule in base.rules.items() if rule.topic in wanted]


def lesson_set(reasoner: Reasoner, wanted: Sequence[str], seed: int = 1) -> LessonSet:
    """As few lessons as exercise all wanted rules.

    Args:
        reasoner: a rule base made ready.
        wanted: ids of rules; a rule without conditions fires on every floor, and counts with the first lesson.
        seed: for the order in which examples are laid together.
    """
    pool = list(_pool(reasoner, wanted, Random(seed)))
    fired = _exercised(reasoner, pool)
    possible = [rule for rule in wanted if any(rule in some for some in fired)]
    chosen = cover([[rule in some for rule in possible] for some in fired], [len(case.facts) for case in pool])
    floors = [_furnished(reasoner, pool[at], pool, fired[at] & set(wanted)) for at in chosen]
    planned = _planned(reasoner, floors, possible)
    for donor in pool[: len(demo_cases())]:  # until the easiest asks questions of every kind, where that can be
        if not planned or _kinds(reasoner, planned[0].case) == set(KINDS):
            break
        fuller = _furnished(reasoner, planned[0].case, [donor], set(planned[0].rules), len(donor.facts))
        planned = _planned(reasoner, [fuller, *(each.case for each in planned[1:])], possible)
    return LessonSet(tuple(planned), tuple(rule for rule in wanted if rule not in possible))


def _planned(reasoner: Reasoner, floors: Sequence[Case], wanted: Sequence[str]) -> list[Planned]:
    """The floors as lessons, from easy to hard."""
    planned = [
        Planned(floor, tuple(rule for rule in wanted if rule in fired), len(fired) + len(floor.facts))
        for floor, fired in zip(floors, _exercised(reasoner, floors), strict=True)
    ]
    return sorted(planned, key=lambda each: (each.hardness, each.case.floor))


def _kinds(reasoner: Reasoner, floor: Case) -> set[str]:
    return {question.kind for question in played(Lesson(reasoner, floor))[0]}


def _furnished(reasoner: Reasoner, floor: Case, donors: Iterable[Case], kept: set[str], enough: int = ENOUGH) -> Case:
    """A floor with few facts gets more, from other floors, as long as the rules that it is for still fire.

    Args:
        reasoner: a rule base made ready.
        floor: the floor.
        donors: whose facts it may get; those that no rule uses there are left aside.
        kept: the rules that it is for.
        enough: facts that it is to have.
    """
    base, facts = reasoner.base, dict(floor.facts)
    for donor in donors if len(facts) < enough else ():
        used = {pattern.fact for rule in reasoner.fired(donor.facts) for pattern in rule.patterns}
        for name, value in donor.facts.items():
            if len(facts) >= enough:
                break
            more = {**facts, name: value}
            if name in facts or name not in used or not value.known or contradicted(base, more):
                continue
            if kept <= {rule.rule for rule in reasoner.fired(more)}:
                facts = more
        if len(facts) >= enough:
            break
    return replace(floor, facts=_to_be_read(base, facts))


def _exercised(reasoner: Reasoner, pool: Sequence[Case]) -> list[set[str]]:
    """By floor, the rules that fire on it."""
    base, program = reasoner.base, reasoner.program
    stated = columns_of(base, [case.facts for case in pool])
    fired = ManyCases(program).infer(working_columns(base, stated, bounds_of(program)))
    id_of = {form.name: form.rule for form in program.rules}
    return [{id_of[name] for name in fired.rules_at(floor)} for floor in range(len(pool))]


def cover(exercises: Sequence[Sequence[bool]], details: Sequence[int]) -> list[int]:
    """The rows of a least set cover: every column is met by some row chosen; of equally few, those of least detail.

    Args:
        exercises: by row (floor), which columns (rules) it meets; every column is met by some row.
        details: what each row counts beside a whole lesson.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    meets = np.array(exercises, np.float64)
    if not meets.size:
        return []
    result = milp(
        c=1 + DETAIL * np.array(details, np.float64),
        constraints=LinearConstraint(meets.T, lb=1),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(meets)),
        options={"time_limit": PATIENCE},
    )
    return [int(at) for at in np.flatnonzero(np.round(result.x))]


def _pool(reasoner: Reasoner, wanted: Sequence[str], random: Random) -> Iterator[Case]:
    base = reasoner.base
    for path in demo_cases().values():
        with suppress(BadCase):  # a rule base of one's own may not know the facts of the demo cases
            yield read_case(path, base)
    floors = Floors(reasoner)
    examples = {rule: dict(found.given) for rule in wanted if (found := floors.witness(rule))}
    for rule, facts in examples.items():
        yield _case(base, facts, [rule])
    order = list(examples)
    for _ in range(SHUFFLES):
        random.shuffle(order)
        yield from _laid_together(base, order, examples)


def _laid_together(base: RuleBase, order: Sequence[str], examples: Mapping[str, Mapping[str, Value]]) -> Iterator[Case]:
    """Examples on one floor as long as they agree on every fact and contradict nothing, then a new floor."""
    open_ = list(order)
    while open_:
        facts: dict[str, Value] = {}
        taken: list[str] = []
        for rule in open_:
            more = examples[rule]
            agrees = all(facts[name] == value for name, value in more.items() if name in facts)
            if agrees and not contradicted(base, both := {**facts, **more}):
                facts = both
                taken.append(rule)
            if len(taken) == TOGETHER:
                break
        open_ = [rule for rule in open_ if rule not in taken]
        if not taken:
            return
        if len(taken) > 1:
            yield _case(base, facts, taken)


def _case(base: RuleBase, facts: Mapping[str, Value], rules: Sequence[str]) -> Case:
    topics = dict.fromkeys(label("topic", base.rules[rule].topic) for rule in rules)
    return Case(wording("lessons.floor", topics=listed(list(topics)[:3])), "", _to_be_read(base, facts))


def _to_be_read(base: RuleBase, facts: Mapping[str, Value]) -> dict[str, Value]:
    """The facts in the vocabulary's order; unknown is said where another fact would imply what is left open."""
    implied = with_implied(base, facts, facts.keys())
    said = {name: facts.get(name, unknown(base.facts[name])) for name in implied}
    return {name: said[name] for name in base.facts if name in said}


def write_cases(drawn: LessonSet, folder: Path) -> list[Path]:
    """Write each floor as a case file, numbered from easy to hard.

    Raises:
        CannotWrite: the folder holds something already, or cannot be written.
    """
    digits = len(str(len(drawn.lessons)))
    files = {}
    for number, each in enumerate(drawn.lessons, start=1):
        facts = {name: each.case.statement(name).text for name in each.case.facts}
        content = {"format": FORMAT, "floor": each.case.floor, "note": each.case.note, "facts": facts}
        text = yaml.safe_dump(content, sort_keys=False, allow_unicode=True, width=100)
        files[f"lesson_{number:0{digits}d}.yaml"] = text.encode()
    return write_folder(folder, files)


def set_text(drawn: LessonSet, files: Sequence[Path]) -> str:
    """The set as a list."""
    wanted = {rule for each in drawn.lessons for rule in each.rules}
    lines = [wording("lessons.set", lessons=len(drawn.lessons), rules=len(wanted))]
    for number, each in enumerate(drawn.lessons, start=1):
        where = f" ({files[number - 1]})" if files else ""
        lines.append(f"{number:3d}. {each.case.floor}{where}")
        lines.append(f"     {wording('lessons.of_set', rules=len(each.rules), facts=len(each.case.facts))}")
    if drawn.left_out:
        lines.append(wording("lessons.no_floor", rules=listed(drawn.left_out)))
    return "\n".join(lines)
