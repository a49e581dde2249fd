"""Computed facts held to the same arithmetic done by hand, and the small parts of likelihoods and of a case's form."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import jsonschema
import pytest

from advisor.facts.case import make_case
from advisor.facts.case_schema import case_schema
from advisor.facts.computing import compute
from advisor.facts.likelihoods import outcomes
from advisor.facts.placing import is_timed, placed
from advisor.facts.statements import Aged, Statement, out_of_date
from advisor.model.finishes import PropertyValue
from advisor.model.knowledge import RuleBase
from advisor.model.values import number, unknown
from advisor.model.vocabulary import Prior
from advisor.physics.bounds import Interval, Span
from advisor.validation.loading import load_rulebase

TODAY = date(2026, 11, 27)


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


def test_fumes_of_a_solvent_coat(base: RuleBase) -> None:
    """200 to 300 g of solvent a litre in a coat that dries to 100 to 200 um, in rooms of 2.5 to 4 m.

    Solvent of 860 g/L is 200/860 to 300/860 of the wet coat; so it goes on at 100 / (1 - 200/860) um at least, 200 /
    (1 - 300/860) um at most, a litre of which holds its solvent; one over the height is what fills the room. At least
    0.2 kg/L x 130 um / 4 m, at most 0.3 kg/L x 307 um / 2.5 m.
    """
    solvent = base.finishes["epoxy_solid"]
    given = {
        "voc": PropertyValue.model_validate(
            {"is": "200 to 300 g/L", "source": "x", "interval": Interval(200.0, 300.0)}
        ),
        "dry_thickness": PropertyValue.model_validate({"is": "x", "source": "x", "interval": Interval(100.0, 200.0)}),
    }
    finish = solvent.model_copy(update={"properties": {**solvent.properties, **given}})
    found = compute(base, "fume_level", {"ceiling_height": number(Interval(2500.0, 4000.0), "mm")}, finish).interval
    assert found is not None
    assert found.low == pytest.approx(0.2e3 * (100e-6 / (1 - 200 / 860)) * 1e3 / 4.0, rel=1e-6)
    assert found.high == pytest.approx(0.3e3 * (200e-6 / (1 - 300 / 860)) * 1e3 / 2.5, rel=1e-6)


def test_a_mix_lasts_as_stated_at_its_temperature_and_half_as_long_ten_kelvin_warmer(base: RuleBase) -> None:
    finish = base.finishes["epoxy_solid"]
    timed = [task for task in base.tasks.values() if is_timed(task) and task.pot_life and task.speed]
    assert timed
    for task in timed:
        life, speed = task.pot_life, task.speed
        assert life is not None
        assert speed is not None
        if life.at.low != life.at.high or not finish.window or life.at.high + 10.0 > finish.window.high:
            continue
        for warmer, share in ((0.0, 1.0), (10.0, 0.5)):
            slab = Span(life.at.low + warmer, life.at.low + warmer)
            found = placed(base, finish, task, Span(37.0, 37.0), slab, Span(1.0, 1.0))
            assert found.pot_life.low == pytest.approx(60.0 * life.given.low * share)
            assert found.pot_life.high == pytest.approx(60.0 * life.given.high * share)
            at_work = max(1, task.people.least)  # one who works alone is helped where the task needs more
            most = life.given.high * share * (1 - 0.25) * speed.high * max(at_work - 1, 1)  # of 25 to 35 % in reserve
            assert found.batches.low == pytest.approx(math.ceil(37.0 / most - 1e-6))


def test_a_prior_of_one_figure_counts_for_both_stretches_that_meet_there(base: RuleBase) -> None:
    prior = Prior(likely={"4 in": 1.0}, effort="look", source=("common_practice",))
    told = base.model_copy(update={"priors": {**base.priors, "slab_thickness": prior}})
    nothing_known = unknown(base.facts["slab_thickness"])
    assert [each.shares for each in outcomes(told, "slab_thickness", nothing_known, [])] == [(0.5,), (0.5,)]


def test_a_test_counts_on_its_last_day_and_no_longer_on_the_next(base: RuleBase) -> None:
    kind = base.facts["slab_humidity"]
    assert kind.valid is not None
    days = int(kind.valid.given.split()[0])
    assert kind.valid.given == f"{days} days"
    assert out_of_date(kind, TODAY - timedelta(days), TODAY) is None
    assert out_of_date(kind, TODAY - timedelta(days + 1), TODAY) == Aged(days + 1, days)


@pytest.mark.parametrize("said", ["yes", "no", "unknown", True, False, None, {"is": "yes", "by": "plumber"}])
def test_what_may_be_said_to_a_yes_no_question_is_in_the_form_and_read(base: RuleBase, said: Any) -> None:
    form = {"format": "slab-finish-case/1", "facts": {"active_leak": said}}
    jsonschema.validate(form, case_schema(base))
    if isinstance(said, str):
        assert make_case(base, {"active_leak": Statement(said)}, TODAY).stated


@pytest.mark.parametrize("facts", [{"active_leak": "wet"}, {"no_such_fact": "yes"}, {"active_leak": {"on": "x"}}])
def test_what_may_not_be_said_is_not_in_the_form(base: RuleBase, facts: dict[str, Any]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"format": "slab-finish-case/1", "facts": facts}, case_schema(base))
