"""Computed facts, as a case gets them, against published values and outside libraries.

The physics beneath has its own tables (tests/physics); here is what reaches the rules. Ids such as P6 or V25 are
rows of the team's table of references, whose sources are named at each check.
"""

from __future__ import annotations

import math

import pint
import pytest
from CoolProp import CoolProp

from advisor.facts.case import read_fact
from advisor.facts.memory import working_memory
from advisor.model.values import Value
from advisor.validation.loading import load_rulebase
from tests.floors import FLOOR_A

BASE = load_rulebase()


def remember(**facts: str) -> dict[str, Value]:
    return working_memory(BASE, {name: read_fact(BASE, name, text, "test") for name, text in facts.items()})


def worked_out(name: str, **facts: str) -> float:
    value = remember(**facts)[name]
    assert value.known
    assert value.interval is not None
    assert value.interval.low == pytest.approx(value.interval.high, rel=1e-9)
    return value.interval.low


def dew_point(temperature: str, humidity: str) -> float:
    """The temperature of a slab that is at its dew point: so far below another as that one's margin says."""
    return 30.0 - worked_out(
        "dew_point_margin", slab_temperature="30 C", air_temperature=temperature, air_humidity=humidity
    )


@pytest.mark.parametrize(
    ("temperature", "humidity", "dew_point_c"),
    [
        ("5 C", "80 %", 1.84),
        ("10 C", "60 %", 2.60),
        ("20 C", "50 %", 9.27),
        ("25 C", "80 %", 21.31),
        ("35 C", "40 %", 19.38),
    ],
)
def test_dew_point(temperature: str, humidity: str, dew_point_c: float) -> None:
    """D1, D2, D6, D10, D12: ASHRAE Handbook of Fundamentals, chapter 1; and CoolProp as an outside library."""
    ours = dew_point(temperature, humidity)
    assert ours == pytest.approx(dew_point_c, abs=0.006)
    kelvin, share = float(temperature.split()[0]) + 273.15, float(humidity.split()[0]) / 100
    outside = CoolProp.HAPropsSI("D", "T", kelvin, "P", 101325, "R", share) - 273.15
    assert ours == pytest.approx(outside, abs=0.02)


@pytest.mark.parametrize("temperature", [5.0, 10.0, 15.0, 20.0, 25.0, 30.0])
def test_saturation_pressure_behind_the_dew_point(temperature: float) -> None:
    """P2 to P10: air at its own dew point is saturated; by ISO 13788:2012, Annex E (from memory), within 0.2 %."""

    def iso_13788(celsius: float) -> float:
        return 610.5 * math.exp(17.269 * celsius / (237.3 + celsius))

    dew = dew_point(f"{temperature} C", "80 %")
    assert iso_13788(dew) == pytest.approx(0.8 * iso_13788(temperature), rel=2e-3)


@pytest.mark.parametrize(
    ("air", "humidity", "slab", "margin"),
    [("21 C", "50 %", "13 C", 2.81), ("24 C", "60 %", "18 C", 2.24), ("30 C", "60 %", "21 C", -0.39)],
)
def test_dew_point_margin(air: str, humidity: str, slab: str, margin: float) -> None:
    """D17, against the 3 C of ISO 8502-4: two floors fail it, one of them is wet."""
    ours = worked_out("dew_point_margin", air_temperature=air, air_humidity=humidity, slab_temperature=slab)
    assert ours == pytest.approx(margin, abs=0.006)


def test_a_cool_slab_in_summer_air_sweats() -> None:
    """D16: air 30 C 60 %, slab 21 C: 102.4 % (p_air / p_sat(slab))."""
    ours = worked_out("humidity_at_slab", air_temperature="30 C", air_humidity="60 %", slab_temperature="21 C")
    assert ours == pytest.approx(102.4, abs=0.06)


@pytest.mark.parametrize(
    ("gain", "hours", "published"), [("3.0 g", "72 h", 4.956), ("1.0 g", "60 h", 1.982), ("5.0 g", "72 h", 8.260)]
)
def test_emission_from_a_dish(gain: str, hours: str, published: float) -> None:
    """M6 to M8: ASTM F1869-16a, dish deducted (0.44486 ft2); and the same by pint's units alone."""
    ours = worked_out("emission_rate", dish_gain=gain, dish_hours=hours)
    assert ours == pytest.approx(published, abs=6e-4)
    units = pint.UnitRegistry()
    alone = units.Quantity(gain) / (0.44486 * units.foot**2 * units.Quantity(hours))
    assert ours == pytest.approx(alone.to("lb/ft**2/day").magnitude * 1000, rel=1e-9)


def test_a_dish_rate_that_is_given_is_not_worked_out_again() -> None:
    assert worked_out("emission_rate", emission_rate="4 lb", dish_gain="3 g", dish_hours="72 h") == 4.0


@pytest.mark.parametrize(("hours", "allowed"), [("59 h", False), ("60 h", True), ("72 h", True), ("73 h", False)])
def test_a_dish_stands_60_to_72_hours(hours: str, allowed: bool) -> None:
    """M10: ASTM F1869; outside those hours there is no reading to enter."""
    from advisor.errors import BadCase

    if allowed:
        assert remember(dish_hours=hours)["dish_hours"].known
    else:
        with pytest.raises(BadCase, match="dish_hours"):
            remember(dish_hours=hours)


BARE_A = {**FLOOR_A, "vapour_retarder": "absent"}


def by_hand(perms: float, retarder: float | None = None) -> tuple[float, float]:
    """Humidity beneath a finish [%], and the share it passes [%], by resistances in series worked by hand."""
    ground, room = 1497.8, 0.5 * 2487.7  # P4 and P7 [Pa], ASHRAE Handbook of Fundamentals
    below = 1 / 0.8 + (1 / retarder if retarder else 0.0)
    share = below / (below + 1 / perms)
    return 100 * (ground - share * (ground - room)) / ground, 100 * share


@pytest.mark.parametrize("retarder", [None, 0.1])
def test_humidity_beneath_every_finish(retarder: float | None) -> None:
    """V25 to V27: steady series resistances 1/W, for the whole range of permeance, by hand."""
    sheet = {"vapour_retarder": "present", "retarder_permeance": f"{retarder} perm"} if retarder else {}
    memory = remember(**{**BARE_A, **sheet})
    for finish in BASE.finishes.values():
        perms = finish.properties["permeance"].interval
        assert perms is not None
        beneath = memory[f"humidity_beneath@{finish.id}"].interval
        passed = memory[f"vapour_passed@{finish.id}"].interval
        assert beneath is not None
        assert passed is not None
        tight, open_ = by_hand(perms.low, retarder), by_hand(perms.high, retarder)
        assert (beneath.low, beneath.high) == pytest.approx((open_[0], tight[0]), abs=0.02)
        assert (passed.low, passed.high) == pytest.approx((tight[1], open_[1]), abs=0.02)


def test_published_example_of_a_tight_film() -> None:
    """V25: a finish of 0.1 perm on floor A has 98.1 % beneath it; V27: over a 0.1 perm retarder 91.0 %."""
    assert by_hand(0.1)[0] == pytest.approx(98.1, abs=0.05)
    assert by_hand(0.1, 0.1)[0] == pytest.approx(91.0, abs=0.05)
    tightest = min(BASE.finishes.values(), key=lambda f: f.properties["permeance"].interval.low)  # type: ignore[union-attr]
    beneath = remember(**BARE_A)[f"humidity_beneath@{tightest.id}"].interval
    assert beneath is not None
    assert beneath.high >= 98.1 - 0.05


def test_bound_of_steady_emission() -> None:
    """V32: 0.8 perm at 23 C, saturated below, a dry dish above: 2.28 lb/(1000 ft2 24 h)."""
    ours = worked_out("steady_emission", **{**BARE_A, "ground_temperature": "23 C"})
    assert ours == pytest.approx(2.28, abs=0.006)


def test_ranges_in_ranges_out() -> None:
    """A range of inputs gives the range of results: its ends are the results at the ends that matter."""
    slab = {"slab_temperature": "20 C"}
    wide = remember(air_temperature="20 to 25 C", air_humidity="50 to 80 %", **slab)["dew_point_margin"].interval
    assert wide is not None
    assert wide.low == worked_out("dew_point_margin", air_temperature="25 C", air_humidity="80 %", **slab)
    assert wide.high == worked_out("dew_point_margin", air_temperature="20 C", air_humidity="50 %", **slab)


def test_what_is_unknown_stays_unknown_but_bounded() -> None:
    value = remember(air_temperature="20 C", slab_temperature="20 C")["dew_point_margin"]
    assert not value.known
    assert value.shown == "unknown"
    assert value.interval is not None
    assert value.interval.low == pytest.approx(0.0)  # air cannot have a dew point above its own temperature


@pytest.mark.parametrize(
    ("area", "holes"), [("400 ft2", 3), ("1000 ft2", 3), ("1001 ft2", 4), ("2500 ft2", 5), ("5000 ft2", 7)]
)
def test_places_that_a_test_lacks(area: str, holes: int) -> None:
    """M15, M16: ASTM F2170, 10.1; the same number of dishes by ASTM F1869 (from memory)."""
    assert worked_out("humidity_holes_missing", area=area, humidity_holes=str(holes)) == 0
    assert worked_out("humidity_holes_missing", area=area, humidity_holes=str(holes - 1)) == 1
    assert worked_out("dishes_missing", area=area, dish_count=str(holes)) == 0


def test_drying_days_left_hold_the_published_slab() -> None:
    """C21: 4 in, one side, fck 25 MPa (w/c about 0.5), air 50 % at 20 C: 98 days to 85 %, 521 to 75 %, in the band."""
    slab = {"slab_thickness": "4 in", "drying_sides": "one", "water_cement_ratio": "0.5", "slab_age": "0 days"}
    memory = remember(**slab, air_temperature="20 C", air_humidity="50 %")
    published = {75.0: 521.0, 85.0: 98.2}
    seen = set()
    for finish in BASE.finishes.values():
        limit = finish.properties["humidity_limit"].interval
        left = memory[f"drying_days_left@{finish.id}"].interval
        assert left is not None
        if limit is not None and limit.low == limit.high and limit.low in published:
            seen.add(limit.low)
            days = published[limit.low]
            assert left.low == pytest.approx(days / 2, rel=0.05)
            assert left.high == pytest.approx(days * 2, rel=0.05)
        if limit is None:
            assert left.high == 0.0
    assert seen == {75.0, 85.0}


def test_drying_counts_the_days_that_have_passed() -> None:
    slab = {"slab_thickness": "4 in", "drying_sides": "one", "water_cement_ratio": "0.5"}
    air = {"air_temperature": "20 C", "air_humidity": "50 %"}
    fresh, later = (remember(**slab, **air, slab_age=age) for age in ("0 days", "40 days"))
    for finish in BASE.finishes:
        before, after = fresh[f"drying_days_left@{finish}"].interval, later[f"drying_days_left@{finish}"].interval
        assert before is not None
        assert after is not None
        assert after.low == pytest.approx(max(0.0, before.low - 40.0))
        assert after.high == pytest.approx(max(0.0, before.high - 40.0))


def test_batches_against_the_pot_life_by_hand() -> None:
    """F14, F16: pot life halves for every 10 C; common practice, no source. Worked by hand for each timed finish."""
    warm = remember(area="40 m2", helpers="1", slab_temperature="25 C")
    cool = remember(area="40 m2", helpers="1", slab_temperature="15 C")
    timed = [finish.id for finish in BASE.finishes.values() if finish.properties["timed_work"].choices == ("yes",)]
    assert timed
    for finish in timed:
        first, second = warm[f"placing_batches@{finish}"].interval, cool[f"placing_batches@{finish}"].interval
        assert first is not None
        assert second is not None
        tasks = [
            BASE.tasks[step.do]
            for procedure in BASE.procedures.values()
            if finish in procedure.finishes
            for step in procedure.steps
            if BASE.tasks[step.do].pot_life and BASE.tasks[step.do].speed
        ]
        slowest = []
        for task in tasks:
            assert task.pot_life is not None
            assert task.speed is not None
            hours = task.pot_life.given.low * 2 ** ((task.pot_life.at.low - 25.0) / 10.0)
            # Two at work, or as many as the task needs or holds; one of them mixes.
            spread = max(1, min(max(2, task.people.least), task.people.most) - 1)
            slowest.append(math.ceil(40.0 / (hours * task.speed.low * spread * (1 - 0.35)) - 1e-9))
        by_hand = max(slowest)
        assert first.high == by_hand
        assert second.high <= first.high


def test_fumes_of_a_known_spill() -> None:
    """H22 by another way: solvent content x wet film / height, by pint's units alone."""
    memory = remember(ceiling_height="2.5 m")
    units = pint.UnitRegistry()
    for finish in BASE.finishes.values():
        voc, dry = finish.properties["voc"].interval, finish.properties["dry_thickness"].interval
        level = memory[f"fume_level@{finish.id}"].interval
        assert voc is not None
        assert level is not None
        if dry is None:
            continue
        coat = min(dry.high, 250.0)  # the thickest coat that commonly holds solvent
        wet = coat / (1.0 - min(voc.high / 860.0, 0.9))
        by_hand = units.Quantity(voc.high, "g/L") * units.Quantity(wet, "micrometer") / units.Quantity("2.5 m")
        assert level.high == pytest.approx(by_hand.to("g/m**3").magnitude, rel=1e-6)
