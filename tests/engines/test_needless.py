"""A fact that is needless where another has some value: data of the vocabulary, which every reading takes alike."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.engines.columns import columns_of, value_at
from advisor.engines.computed_columns import working_columns
from advisor.engines.smt import EveryCase
from advisor.errors import BadRuleBase
from advisor.facts.memory import working_memory
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval
from advisor.validation.loading import read_rulebase

SMALL = Path(__file__).parents[1] / "small_rules"
BUDGET = "budget: {type: number, unit: usd, range: 0 to 9000 usd,"


def excused(folder: Path, where: str, inputs: str = "budget, area, leak, shine") -> RuleBase:
    """The small rules, where a budget is not missing on some floors."""
    for file in SMALL.glob("*.yaml"):
        text = file.read_text(encoding="utf-8").replace(BUDGET, f"{BUDGET} needless_where: {{{where}}},")
        (folder / file.name).write_text(text.replace("from: [budget, area]", f"from: [{inputs}]"), encoding="utf-8")
    return read_rulebase(folder)


def test_the_prover_needs_no_fact_by_name() -> None:
    """It died of a KeyError where a rule base knew no vapour retarder."""
    every = EveryCase(read_rulebase(SMALL))
    floor = every.floor_where_fires("money.dear")
    assert floor is not None
    fired = every.fired_on([floor])
    assert any(fired.where(form.name)[0] for form in every.program.rules if form.rule == "money.dear")


FLOORS: list[tuple[dict[str, Value], bool]] = [
    ({}, False),
    ({"leak": choice("yes")}, False),
    ({"shine": choice("glossy")}, False),
    ({"leak": choice("no"), "shine": choice("matt")}, False),
    ({"leak": choice("no"), "shine": choice("glossy")}, True),
    ({"leak": choice("yes"), "shine": choice("glossy")}, True),
]


@pytest.mark.parametrize(("stated", "known"), FLOORS)
@pytest.mark.parametrize("area", [True, False])
def test_all_readings_agree_on_what_is_missing(
    tmp_path: Path, stated: dict[str, Value], known: bool, area: bool
) -> None:
    base = excused(tmp_path, "shine: none of matt")
    facts = {**stated, **({"area": number(Interval(10.0, 10.0), "m2")} if area else {})}
    known = facts.keys() >= {"area", "leak", "shine"} and known
    memory = working_memory(base, facts)
    assert memory["budget_per_area"].known == known
    column = working_columns(base, columns_of(base, [facts]), {}).facts["budget_per_area"]
    assert value_at(base.facts["budget_per_area"], column, 0).known == known
    every = EveryCase(base)
    terms = every.vocabulary.terms
    solver = every.solver(["budget_per_area"])
    for name in ("budget", "area", "leak", "shine"):
        term = terms[name]
        if name not in facts:
            solver.add(term.known == False)  # noqa: E712  (z3's own)
        elif name == "area":
            solver.add(term.known)
        else:
            solver.add(term.among([facts[name].choice]))
    assert str(solver.check()) == "sat"
    solver.add(terms["budget_per_area"].known != known)
    assert str(solver.check()) == "unsat"


@pytest.mark.parametrize(
    ("where", "inputs", "said"),
    [
        ("colour: red", "budget, area", '"colour" is not a choice about the floor'),
        ("wetness: known", "budget, area, wetness", '"wetness" is not a choice about the floor'),
        ("shine: above limit.wet", "budget, area, shine", "it is no number"),
        ("shine: matt", "budget, area", "worked out from budget, so also from shine"),
    ],
)
def test_what_cannot_excuse_is_refused(tmp_path: Path, where: str, inputs: str, said: str) -> None:
    with pytest.raises(BadRuleBase, match=said):
        excused(tmp_path, where, inputs)
