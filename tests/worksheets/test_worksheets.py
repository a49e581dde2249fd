"""Worksheets: the published examples by hand, ranges in and out, tests that are not valid, and clear refusals."""

from __future__ import annotations

import ast
import json
import re
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from advisor.errors import AdvisorError, BadRuleBase
from advisor.physics import air, vapour
from advisor.physics.drying_table import DEPTH_SHARE
from advisor.physics.drying_time import DryingSides
from advisor.physics.engine import EngineOutcome
from advisor.physics.floor_tests import Hardness
from advisor.physics.units import PERM_INCH, US_PERM
from advisor.physics.vapour_source import Source
from advisor.validation.loading import load_rulebase, read_rulebase, rules_folder
from advisor.worksheets import sheet as sheet_module
from advisor.worksheets.running import explain_sheet, find_sheet, run_sheet
from advisor.worksheets.sheet import SHEETS
from explanations.wording import group_of_texts, wording
from tests.floors import FLOOR_A


def work(name: str, **inputs: str) -> dict[str, str]:
    """The steps of a sheet by what they work out."""
    given = [f"{key}={value}" for key, value in inputs.items()]
    data = json.loads(run_sheet(find_sheet(name), given, None, as_json=True, base=load_rulebase()))
    return {step["what"]: step["value"] for step in data["steps"]} | {"conclusion": " ".join(data["conclusion"])}


def figures(text: str) -> list[float]:
    return [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", text)]


def test_dew_point_and_margin() -> None:
    """P6, D6, D17: ASHRAE Handbook of Fundamentals, chapter 1."""
    steps = work("dew-point", air_temperature="20 C", air_humidity="50 %")
    assert figures(steps["saturation pressure"]) == [2339.0]
    assert figures(steps["dew point"]) == pytest.approx([9.27], abs=0.005)
    assert figures(
        work("dew-point", air_temperature="21 C", air_humidity="50 %", slab_temperature="13 C")["margin"]
    ) == pytest.approx([2.81], abs=0.006)


@pytest.mark.parametrize(("finish", "flow", "beneath"), [("0.1 perm", 0.0229, 98.1), ("10 perm", 0.1905, 84.3)])
def test_vapour_through_the_published_floor(finish: str, flow: float, beneath: float) -> None:
    """V24 to V26: series resistances by hand (ISO 13788, from memory)."""
    steps = work("vapour", **FLOOR_A, finish_permeance=finish)
    assert figures(steps["flow through the bare slab"])[0] == pytest.approx(0.206, abs=6e-4)
    assert figures(steps["flow with the finish"])[0] == pytest.approx(flow, abs=6e-5)
    assert figures(steps["humidity beneath the finish"])[0] == pytest.approx(beneath, abs=0.06)


def test_vapour_with_a_retarder() -> None:
    """V27: 0.1 perm retarder and 0.1 perm finish: 0.0121 lb, 91.0 %."""
    steps = work("vapour", **FLOOR_A, finish_permeance="0.1 perm", retarder="present", retarder_permeance="0.1 perm")
    assert figures(steps["flow with the finish"])[0] == pytest.approx(0.0121, abs=6e-5)
    assert figures(steps["humidity beneath the finish"])[0] == pytest.approx(91.0, abs=0.06)


def test_isothermal_floor() -> None:
    """V28, V29: isothermal 23 C, saturated to 50 %: 1.138 lb bare; under 1 perm 72.2 %."""
    same = {**FLOOR_A, "ground_temperature": "23 C", "air_temperature": "23 C", "slab_top": "as_the_room"}
    steps = work("vapour", **same, finish_permeance="1 perm")
    assert figures(steps["flow through the bare slab"])[0] == pytest.approx(1.138, abs=6e-4)
    assert figures(steps["humidity beneath the finish"])[0] == pytest.approx(72.2, abs=0.06)


def test_ranges_give_the_true_bounds() -> None:
    """Dense sampling inside the ranges stays within the bounds and comes near them."""
    ranges = {"ground_temperature": (10, 18), "air_temperature": (18, 24), "air_humidity": (30, 60), "finish": (0.1, 5)}
    steps = work(
        "vapour",
        ground_temperature="10 to 18 C",
        air_temperature="18 to 24 C",
        air_humidity="30 to 60 %",
        finish_permeance="0.1 to 5 perm",
        slab_thickness="4 in",
        slab_permeability="3.2 perm-in",
    )
    low, high = figures(steps["humidity beneath the finish"])
    rng, seen = Random(6), []
    slab = vapour.layer_permeance(3.2 * PERM_INCH, 0.1016)
    below = vapour.series_permeance(vapour.MOST_PERMEANCE, slab)
    for _ in range(4000):
        ground, room, rh, finish = (rng.choice([*span, rng.uniform(*span)]) for span in ranges.values())
        seen.append(vapour.rh_beneath_finish(ground, 100.0, room, rh, below, finish * US_PERM, ground))
    assert low - 0.06 <= min(seen) < low + 0.1
    assert high - 0.1 < max(seen) <= high + 0.06


def test_a_reading_over_the_bound_of_diffusion() -> None:
    """V32 and the note on steady diffusion: 3 lb or more speaks of drying mix water or liquid water."""
    floor = {**FLOOR_A, "ground_temperature": "23 C"}
    del floor["air_temperature"], floor["air_humidity"]
    steps = work("dish-source", emission_rate="5 lb", slab_age="60 days", site_water="no", **floor)
    assert figures(steps["most that steady diffusion feeds"])[0] == pytest.approx(2.28, abs=0.006)
    assert "still drying out" in steps["conclusion"]
    old = work("dish-source", emission_rate="5 lb", slab_age="20 years", site_water="yes", **floor)
    assert "liquid water" in old["conclusion"]
    assert "suffices" in work("dish-source", emission_rate="2 lb", **floor)["conclusion"]


def test_drying_of_the_published_slab() -> None:
    """C21: fib Model Code constants (from memory), fck 25, 4 in, one side: 98 days to 85 %, 521 to 75 %."""
    steps = work("drying", slab_thickness="4 in", strength="25 MPa")
    assert figures(steps["days to 85 %"])[0] == pytest.approx(98, abs=1)
    assert figures(steps["days to 75 %"])[0] == pytest.approx(521, abs=3)


def test_rain_and_damp_air_delay_drying() -> None:
    dry = figures(work("drying", limits="85 %", days="400 days")["days to 85 %"])[0]
    rained_on = figures(work("drying", limits="85 %", days="400 days", rain="20, 50, 80")["days to 85 %"])[0]
    damp = figures(work("drying", limits="85 %", days="400 days", air_humidity="80 %")["days to 85 %"])[0]
    assert dry < rained_on
    assert dry < damp


DISH = {
    "hours": "72 h",
    "area": "80 m2",
    "air_temperature": "75 F",
    "air_humidity": "50 %",
    "conditioned": "48 h",
    "open_before": "24 h",
    "bare_ground_concrete": "yes",
}


def test_dishes_by_the_published_form() -> None:
    """M6, M7: 3.0 g in 72 h is 4.956 lb (dish deducted) or 4.535 lb (full dome), ASTM F1869-16a and its older form."""
    deducted = work("dish-test", gains="3.0 g, 3.0 g, 3.0 g", **DISH)
    assert figures(deducted["mean"])[0] == pytest.approx(4.956, abs=0.005)
    assert deducted["conclusion"].startswith("Valid")
    full = work("dish-test", gains="3.0 g, 3.0 g, 3.0 g", form="full_dome", **DISH)
    assert figures(full["mean"])[0] == pytest.approx(4.535, abs=0.005)


def test_the_area_that_a_kit_states_takes_the_place_of_the_standards() -> None:
    # by hand, the standard's own 24,000 M / (453.612 A t): 24,000 x 3 / (453.612 x 0.5 x 72) = 4.409 lb
    stated = work("dish-test", gains="3.0 g, 3.0 g, 3.0 g", exposed_area="0.5 ft2", **DISH)
    assert figures(stated["mean"])[0] == pytest.approx(4.409, abs=0.005)
    same = work("dish-test", gains="3.0 g, 3.0 g, 3.0 g", exposed_area="70 in2", **DISH)
    full = work("dish-test", gains="3.0 g, 3.0 g, 3.0 g", form="full_dome", **DISH)
    assert figures(same["mean"])[0] == pytest.approx(figures(full["mean"])[0], rel=1e-6)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"hours": "50 h"}, "- dish 1 to 3, hours it stood: 50 h; wanted at least 60 and at most 72 h"),
        ({"area": "100 m2"}, "- number of places: 3; wanted at least 4"),
        ({"bare_ground_concrete": "unknown"}, "- dish 1 to 3, on bare ground concrete: not recorded; wanted yes"),
        ({"bare_ground_concrete": "no"}, "- dish 1 to 3, on bare ground concrete: no; wanted yes"),
    ],
)
def test_an_invalid_dish_test_concludes_nothing(change: dict[str, str], why: str) -> None:
    steps = work("dish-test", gains="3.0 g, 3.0 g, 3.0 g", **{**DISH, **change})
    assert "concludes nothing" in steps["conclusion"]
    assert why in steps["conclusion"]
    assert "mean" not in steps


def test_a_break_in_the_glue_below_what_is_asked_says_nothing_of_the_floor() -> None:
    """ASTM D7234: the pull counts where the floor broke."""
    weak = work("pull-test", stresses="1 MPa, 2 MPa, 2 MPa", broke="glue, concrete, coating", scored="yes")
    assert weak["conclusion"].endswith("- pull 1, place of the break: in the glue of the dolly; wanted in the floor")
    picks = work("scratch-test", scratched_by="5", picks="5", bare_and_dry="yes")
    assert "- a pick softer than 5 tried: no; wanted yes - a pick harder than 6 tried: no" in picks["conclusion"]


def test_a_substance_whose_hazard_is_not_in_the_rule_base_is_refused(tmp_path: Path) -> None:
    text = "substances:\n  smoke: {name: smoke, cautions: no_such_hazard, source: common_practice}\n"
    (tmp_path / "shop.yaml").write_text(f"about: {{version: '1'}}\n{text}")
    with pytest.raises(BadRuleBase, match="no_such_hazard"):
        read_rulebase(rules_folder(), tmp_path)


def test_film_of_the_published_coats() -> None:
    """F5: 100 % at 10 mil covers 160.42 ft2/gal; 50 % at 3 mil 267.36, wet 6.00 mil (from the gallon's 231 in3)."""
    solid = work("film", dry_thickness="10 mil", solids="100 %", loss="0 %")
    assert (
        figures(solid["theoretical coverage"])[1:] == pytest.approx([2.0, 160.4], abs=0.05)
        or "160.4" in solid["theoretical coverage"]
    )
    thin = work("film", dry_thickness="3 mil", solids="50 %")
    assert "267.4" in thin["theoretical coverage"]
    assert figures(thin["wet thickness"]) == [6.0]


def test_pot_life_by_the_rule_of_thumb() -> None:
    """F16: against 77 F, 59 F doubles it and 95 F halves it; common practice, no source."""
    assert figures(work("pot-life", stated="40 min", stated_at="77 F", temperature="59 F")["pot life"]) == [80.0]
    assert figures(work("pot-life", stated="40 min", stated_at="77 F", temperature="95 F")["pot life"]) == [20.0]


def test_fumes_of_a_litre_of_solvent() -> None:
    """H22: 1 L of acetone in 50 m3 without ventilation comes to 6605 ppm; OSHA and NIOSH limits from H18."""
    steps = work("fumes", substance="acetone", amount="1 L", room_volume="50 m3", air_changes="0 /h", dries_in="0.05 h")
    assert figures(steps["peak"].split("(")[1])[0] == pytest.approx(6605, rel=2e-3)
    assert sum("EXCEEDED" in value for value in steps.values()) == 3
    assert "entilate, measure" in steps["conclusion"]


@pytest.mark.parametrize("volume", ["20 m3", "1000 m3", "100000 m3"])
@pytest.mark.parametrize("changes", ["0 /h", "1 /h", "500 /h"])
def test_an_engine_indoors_is_never_called_safe(volume: str, changes: str) -> None:
    """H13: NIOSH 96-118(a)."""
    steps = work("engine", room_volume=volume, air_changes=changes, carbon_monoxide="0 to 3.1 m3/h")
    assert "Never run a petrol, propane or diesel machine" in steps["conclusion"]
    assert not re.search(r"\bsafe\b", " ".join(steps.values()))


@pytest.mark.parametrize("name", SHEETS)
def test_every_sheet_explains_itself_and_defers(name: str) -> None:
    sheet, base = find_sheet(name), load_rulebase()
    page, blanks = explain_sheet(sheet, base), sheet.blanks(base)
    said = " ".join(page.split())
    for part in ("source", "leaves_out"):
        assert wording(f"{sheet.key}.{part}", **blanks) in said
    assert "Local codes" in page
    assert all(f"{each.name}: {wording(each.ask, **blanks)}" in said for each in sheet.inputs)
    for text in filter(None, (each.when_left_out(base) for each in sheet.inputs)):
        assert f"If left out: {text}." in said
    assert max(map(len, page.splitlines())) <= 80


def test_each_text_of_a_worksheet_is_shown_by_it() -> None:
    """The sheets name their texts by what follows their own key; what none of their modules names is never said."""
    named = {
        str(node.value)
        for path in Path(sheet_module.__file__).parent.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant)
    }
    enums = (Source, EngineOutcome, Hardness)
    named |= {each.value for kind in enums for each in kind} | {f"{each}_by" for each in named}
    for sheet in SHEETS.values():
        group, _, nest = sheet.key.partition(".")
        texts = {key.removeprefix(f"{nest}.") for key in group_of_texts("en", group) if key.startswith(f"{nest}.")}
        asked = {f"ask.{each.name}" for each in sheet.inputs if each.ask.startswith(f"{sheet.key}.")}
        parts = {"title", "source", "leaves_out", *(["picture"] if sheet.pictured else []), *asked}
        assert parts <= texts
        assert {each.rpartition(".")[2] for each in texts - parts} <= named


def test_what_a_sheet_takes_can_be_read_and_follows_the_rule_base() -> None:
    base = load_rulebase()
    for sheet in SHEETS.values():
        for each in sheet.inputs:
            if (text := each.when_left_out(base)) is not None:
                replace(sheet, inputs=(each,)).read({each.name: text}, base)
    norms = base.norms | {"pot_life_reserve": base.norms["pot_life_reserve"].model_copy(update={"given": "40 %"})}
    shop = base.model_copy(update={"norms": norms})
    assert "reserve: 25 to 35 %  (taken)" in run_sheet(find_sheet("placing"), PLACING, None, as_json=False, base=base)
    assert "reserve: 40 %  (taken)" in run_sheet(find_sheet("placing"), PLACING, None, as_json=False, base=shop)


PLACING = ["workable=20 min", "area=50 m2"]


def test_a_substance_brings_the_hazards_of_the_rule_base() -> None:
    base, room = load_rulebase(), {"room_volume": "50 m3", "air_changes": "1 /h"}
    silica = work("fumes", substance="silica_dust", release="100 mg/h", **room)["conclusion"]
    solvent = work("fumes", substance="xylene", amount="1 L", **room)["conclusion"]
    assert base.cautions["silica_dust"].says in silica
    assert base.cautions["solvent_fire"].says in solvent
    assert base.cautions["solvent_fire"].says not in silica
    mixed = work("mix", ratio="2", density_a="1.1 kg/L", density_b="1 kg/L", volume="10 L")["conclusion"]
    assert all(base.cautions[name].says in mixed for name in ("mixed_material", "amines", "isocyanates"))


TWO_POINTS = ["stated=40 min", "stated_at=25 C", "temperature=20 C", "second_at=35 C"]


@pytest.mark.parametrize(
    ("name", "inputs", "said"),
    [
        ("dew-pint", [], "dew-point"),
        ("dew-point", ["air_temperature=20 C"], "air_humidity"),
        ("dew-point", ["air_temperature=20", "air_humidity=50 %"], "no unit"),
        ("dew-point", ["air_temperature=20 C", "air_humidity=120 %"], "1 to 100 %"),
        ("dew-point", ["air_temperatur=20 C", "air_humidity=50 %"], "air_temperature"),
        ("dew-point", ["air_temperature"], "NAME=VALUE"),
        ("dew-point", ["air_humidity=50 %", "air_humidity=60 %"], "twice"),
        ("cure-hours", ["air=20 C, 21 C", "humidity=50 %", "slab=15 C, 15 C"], "2 of the air, 1 of humidity"),
        ("vapour", ["slab_thickness=0 mm"], "40 to 600 mm"),
        ("vapour", ["finish_permeance=0 perm"], "0.001"),
        ("drying", ["slab_thickness=4 to 6 in", "days=1 to 2 years"], "one figure"),
        ("pot-life", ["stated=30 min", "temperature=90 F", "second=10 min"], "second_at"),
        ("film", ["dry_thickness=10 mil", "solids=150 %"], "1 to 100 %"),
        ("fumes", ["substance=aceton", "room_volume=50 m3", "air_changes=1 /h"], "acetone"),
        ("fumes", ["substance=acetone", "room_volume=50 m3", "air_changes=1 /h"], "amount"),
        ("pull-test", ["stresses=200 psi", "broke=roof"], "concrete, between"),
        ("pull-test", ["stresses=200 psi", "broke=glue, glue"], "1 stress, but 2 places"),
        ("pot-life", [*TWO_POINTS, "second=50 min"], "pot life when cool over warm is 0.8; allowed is 1 to"),
    ],
)
def test_bad_input_is_refused_by_name_and_range(name: str, inputs: list[str], said: str) -> None:
    with pytest.raises(AdvisorError) as caught:
        run_sheet(find_sheet(name), inputs, None, as_json=False, base=load_rulebase())
    assert said in str(caught.value)


@pytest.mark.parametrize(("name", "inputs"), [("vapour", ["area=40 m2"]), ("drying", ["days=60 days"])])
@pytest.mark.parametrize("ending", [".svg", ".png", ".pdf"])
def test_pictures(tmp_path: Path, name: str, inputs: list[str], ending: str) -> None:
    first, second = tmp_path / f"a{ending}", tmp_path / f"b{ending}"
    for path in (first, second):
        run_sheet(find_sheet(name), inputs, path, as_json=False, base=load_rulebase())
    assert first.read_bytes() == second.read_bytes()
    assert len(first.read_bytes()) > 5000
    assert {path.name for path in tmp_path.iterdir()} == {first.name, second.name}


def test_air_worksheet_agrees_with_the_physics() -> None:
    steps = work("dew-point", air_temperature="31.7 C", air_humidity="43 %")
    assert figures(steps["dew point"])[0] == pytest.approx(air.dew_point(31.7, 43.0), rel=1e-3)


def test_the_table_of_drying_is_read_where_the_test_measures() -> None:
    """ASTM F2170: 40 % of the thickness from one side, 20 % from two; the drying path is all of it, or half."""
    norms = load_rulebase().norms
    for sides in DryingSides:
        share = norms[f"probe_depth_{sides.name.lower()}"].interval
        assert share.low == share.high == pytest.approx(DEPTH_SHARE * sides.value)


def test_a_shop_sets_a_tests_standard_otherwise_only_within_reason(tmp_path: Path) -> None:
    """The edition of 2009 asked for 72 h in the hole; 900 hours is a slip of the pen."""
    probes = {"readings": "80 %, 81 %, 82 %", "depth": "40 mm", "slab_thickness": "100 mm", "area": "50 m2"}
    rest = {"equilibrated": "24 h", "conditioned": "48 h", "at_service_conditions": "yes"}
    folder = tmp_path / "shop"
    folder.mkdir()
    norm = "{is: HOURS, unit: hour, range: 1 to 500 hour, means: how long a probe stands, source: common_practice}"
    for hours, valid in (("24 hour", True), ("72 hour", False)):
        text = f"about: {{version: '1'}}\nnorms:\n  probe_hours: {norm.replace('HOURS', hours)}\n"
        (folder / "shop.yaml").write_text(text)
        base = read_rulebase(rules_folder(), folder)
        sheet = find_sheet("humidity-test")
        result = sheet.work(sheet.read({**probes, **rest}, base))
        assert result.conclusion[0].startswith("Valid" if valid else "Not valid")
    (folder / "shop.yaml").write_text(text.replace("72 hour", "900 hour"))
    with pytest.raises(BadRuleBase, match="outside what is possible"):
        read_rulebase(rules_folder(), folder)


@pytest.mark.parametrize("several", ["78 %, 80 %, 84 %", "78, 80, 84 %", "78, 80 and 84 %", "78 and 80, and 84 %"])
def test_one_unit_at_the_end_of_a_list_holds_for_all_of_it(several: str) -> None:
    readings = next(each for each in find_sheet("humidity-test").inputs if each.name == "readings")
    found = sheet_module._read(readings, several)
    assert [each.low for each in found] == [78.0, 80.0, 84.0]
