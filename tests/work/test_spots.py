"""Work on a part of the floor: stains, cracks, joints and holes by what was measured, else by the usual share."""

from __future__ import annotations

import itertools

import pytest

from advisor.model.knowledge import RuleBase
from advisor.physics.units import FOOT
from advisor.work.needed import materials_needed
from advisor.work.pace import hours, work_hours
from advisor.work.settings import HIGH, LOW, active
from advisor.work.spots import run_length

from .conftest import MakeJob


def span(job: object, material: str) -> tuple[float, float]:
    """Least and most of a material."""
    low, high = (materials_needed(job, setting)[material] for setting in (LOW, HIGH))  # type: ignore[arg-type]
    return low, high


def test_only_the_stains_are_degreased(make_job: MakeJob) -> None:
    """20 ft2 (1.858 m2) of stains at 2 to 4 m2/L (from memory), 2 to 5 % wasted: 0.47 to 0.98 L, by hand."""
    measured = make_job("epoxy_flake", oil_stains="few", stained_area="20 ft2")
    assert span(measured, "degreaser") == (pytest.approx(0.474, abs=0.002), pytest.approx(0.975, abs=0.002))
    large = make_job("epoxy_flake", oil_stains="few", stained_area="20 ft2", area="9000 ft2")
    assert span(large, "degreaser") == span(measured, "degreaser")


def test_a_few_stains_take_gallons_only_on_floors_of_thousands_of_square_feet(make_job: MakeJob) -> None:
    """Common practice: a gallon (3.8 L) of degreaser does the drips of a two-car garage."""
    assert span(make_job("epoxy_flake", oil_stains="few"), "degreaser")[1] < 3.8
    assert span(make_job("epoxy_flake", oil_stains="deep"), "degreaser")[1] < 2 * 3.8


def test_cracks_are_filled_by_their_length(make_job: MakeJob) -> None:
    """20 m opened 6 mm wide and 6 to 10 mm deep hold 0.72 to 1.2 L; with losses 0.82 to 1.58 L, by hand."""
    job = make_job("epoxy_flake", cracks="hairline", crack_length="20 m")
    assert span(job, "crack_filler") == (pytest.approx(0.816, abs=0.002), pytest.approx(1.575, abs=0.002))
    step = next(each for each in active(job, HIGH) if each.id == "fill_cracks")
    assert step.task.run_speed
    slow = job.norm("few_times").high * (step.task.setup.high + 20 / step.task.run_speed.low)
    assert hours(job, step.task, HIGH) == pytest.approx(slow)


def test_patches_and_joints_go_by_what_was_measured(make_job: MakeJob) -> None:
    """10 ft2 of holes at 20 to 40 kg/m2, and 30 m of joint 10 mm wide filled 8 to 12 mm deep; by hand."""
    job = make_job("epoxy_flake", spalls="many", broken_area="10 ft2", joints_move="yes", moving_joint_length="30 m")
    assert span(job, "patching_mortar") == (
        pytest.approx(10 * FOOT**2 * 20 * 1.02),
        pytest.approx(10 * FOOT**2 * 40 * 1.05),
    )
    assert span(job, "joint_sealant") == (pytest.approx(2.4 / 0.9 * 1.02), pytest.approx(3.6 / 0.8 * 1.05))


OPEN = {"vehicles": "cars", "joint_kind": "contraction", "joint_fill": "open", "joint_length": "42 ft"}


def test_open_joints_that_rest_are_filled_before_a_film(make_job: MakeJob) -> None:
    """Saw cuts across a garage of 20 ft x 22 ft: 12.8 m, 5 mm wide, 25 to 45 mm deep (ACI 302.1, a quarter of the
    slab); 1.60 to 2.88 L, with losses of 8 to 15 % and 2 to 5 % wasted 1.77 to 3.56 L, by hand.
    """
    resting = {**OPEN, "joints_move": "no", "hygiene_needed": "no", "exposure": "indoors"}
    job = make_job("epoxy_flake", **resting)
    assert span(job, "joint_filler") == (pytest.approx(1.774, abs=0.003), pytest.approx(3.558, abs=0.003))
    order = [each.id for each in active(job, LOW)]
    assert order.index("joints_under_film") < order.index("vacuum_floor") < order.index("primer_coat")
    assert "joint_filler" not in materials_needed(make_job("polished_natural", **resting), HIGH)  # stays open


def test_panels_end_at_the_walls(make_job: MakeJob) -> None:
    """Nobody measured: 0.35 to 0.55 m a square metre, the least of it less half of the walls, by hand.

    A shop of 35 ft square (113.8 m2, walls 42.67 m) has 39.8 - 21.3 to 62.6 m; two lines each way are 42.7 m.
    """
    job = make_job("epoxy_solid", area=None, rooms=("35 ft x 35 ft",), joint_fill="open")
    assert (run_length(job, "joint_fill", LOW), run_length(job, "joint_fill", HIGH)) == pytest.approx(
        (113.81 * 0.35 - 42.67 / 2, 113.81 * 0.55), rel=0.01
    )
    assert run_length(make_job("epoxy_solid", area="9 m2", joint_fill="open"), "joint_fill", LOW) == 0


def test_a_joint_that_moves_gets_sealant_and_nothing_stiff(make_job: MakeJob) -> None:
    job = make_job("epoxy_flake", **OPEN, joints_move="yes", hygiene_needed="no", exposure="indoors")
    assert {"joint_sealant", "joint_filler"} & set(materials_needed(job, HIGH)) == {"joint_sealant"}


def test_what_is_not_there_takes_nothing_though_someone_measured_it(make_job: MakeJob) -> None:
    job = make_job("epoxy_flake", oil_stains="none", stained_area="20 ft2")
    assert "degreaser" not in materials_needed(job, HIGH)


@pytest.mark.parametrize("fact", ["oil_stains", "cracks", "spalls"])
def test_more_of_it_never_takes_less(make_job: MakeJob, base: RuleBase, fact: str) -> None:
    """From none to the worst that rests, and the unknown spans them all."""
    totals = {}
    for value in base.facts[fact].choices:
        if value != "moving":
            totals[value] = work_hours(make_job("epoxy_flake", **{fact: value}))
    found = list(totals.values())
    assert all(a[1] <= b[1] + 1e-9 for a, b in itertools.pairwise(found))
    unknown = work_hours(make_job("epoxy_flake", **{fact: "unknown"}))
    assert unknown[0] <= min(low for low, _ in found) + 1e-9
    assert unknown[1] >= max(high for _, high in found) - 1e-9
