"""What the audit holds of computed facts: how their ends move with one input, the others being anything."""

from __future__ import annotations

import subprocess
import sys
from random import Random

import pytest

from advisor.facts.computing import compute
from advisor.facts.formulas import FORMULAS
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import keep
from advisor.model.values import Value, choice, number
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from advisor.validation.loading import load_rulebase
from advisor.validation.read_by_formulas import read_by

FLOORS = 60
BASE = load_rulebase()
COMPUTED = {name: kind for name, kind in BASE.facts.items() if kind.computed}
PAIRS = [(name, each) for name, kind in COMPUTED.items() for each in (kind.computed.inputs if kind.computed else ())]


def some(kind: FactKind, rng: Random) -> Value:
    """Any value of a fact: unknown, a range, or one figure, often near its least."""
    if kind.type != "number":
        return rng.choice([Value("unknown", False, UNKNOWN), *map(choice, kind.choices)])
    span = kind.plausible
    ends = sorted(span.low + (span.high - span.low) * rng.random() ** rng.choice([1, 1, 6]) for _ in range(2))
    return rng.choice(
        [
            Value("unknown", False, UNKNOWN, interval=span),
            number(Interval(keep(ends[0]), keep(ends[1])), kind.unit),
            number(Interval(keep(ends[0]), keep(ends[0])), kind.unit),
        ]
    )


def worked_out(base: RuleBase, name: str, facts: dict[str, Value], rng: Random) -> Interval:
    """A computed fact's ends, of a finish drawn by the generator if it is about one."""
    finish = rng.choice([each for each in base.finishes.values() if each.properties["permeance"].interval])
    interval = compute(base, name, facts, finish if base.facts[name].of == "finish" else None).interval
    assert interval is not None
    return interval


@pytest.mark.parametrize(("name", "moved"), PAIRS)
def test_a_computed_fact_spans_and_moves_as_its_formula_says(name: str, moved: str) -> None:
    kind, within = COMPUTED[name], BASE.facts[moved]
    assert kind.computed is not None
    formula = FORMULAS[kind.computed.by]
    rng = Random(f"{name} {moved}")
    for floor in range(FLOORS):
        facts = {each: some(BASE.facts[each], rng) for each in kind.computed.inputs}
        whole = worked_out(BASE, name, facts, Random(floor))
        if within.type != "number":
            if not facts[moved].known:
                parts = [worked_out(BASE, name, {**facts, moved: choice(v)}, Random(floor)) for v in within.choices]
                assert (whole.low, whole.high) == (min(p.low for p in parts), max(p.high for p in parts))
            continue
        ends = facts[moved].interval
        assert ends is not None
        points = [ends.low, *sorted(keep(rng.uniform(ends.low, ends.high)) for _ in range(3)), ends.high]
        known = [{**facts, moved: number(Interval(each, each), within.unit)} for each in points]
        parts = [worked_out(BASE, name, each, Random(floor)) for each in known]
        least, greatest = parts[0], parts[-1]
        assert (whole.low, whole.high) == (min(least.low, greatest.low), max(least.high, greatest.high))
        assert all(whole.low <= part.low and part.high <= whole.high for part in parts)
        if moved in (*formula.rises_with, *formula.falls_with):
            down = moved in formula.falls_with
            assert [p.low for p in parts] == sorted((p.low for p in parts), reverse=down)
            assert [p.high for p in parts] == sorted((p.high for p in parts), reverse=down)


def test_what_rises_is_an_input() -> None:
    for kind in COMPUTED.values():
        assert kind.computed is not None
        formula = FORMULAS[kind.computed.by]
        assert {*formula.rises_with, *formula.falls_with} <= {*kind.computed.inputs}
        assert not {*formula.rises_with} & {*formula.falls_with}


def test_a_formula_reads_of_a_finish_what_it_says() -> None:
    """Over many floors finishes alike in these properties share what is worked out."""
    for name, kind in COMPUTED.items():
        assert kind.computed is not None
        declared = FORMULAS[kind.computed.by].properties
        read = {entry for section, entry in read_by(BASE, [name]) if section == "properties"}
        assert declared is None or read == {*declared}, name


def test_one_floor_needs_neither_numpy_nor_pint() -> None:
    """A short command does not wait for them: every figure of the rules is in a unit of our own table."""
    code = (
        "import sys; from advisor.facts.memory import working_memory\n"
        "from advisor.validation.loading import read_rulebase, rules_folder\n"
        "working_memory(read_rulebase(rules_folder()), {})\n"
        "print(sorted({'numpy', 'pint', 'scipy'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120)
    assert done.stdout.strip() == "[]"
