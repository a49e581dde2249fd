"""Rooms, what makes edges, parts and nights: what they add to edges, hours, days and the price."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import read_case
from advisor.facts.case_file import save_case
from advisor.model.knowledge import RuleBase
from advisor.work.cost import cost
from advisor.work.granted import granted
from advisor.work.job import Job
from advisor.work.pace import crew_hours, crew_of, elapsed, hire_days, hours, work_hours
from advisor.work.pricebook import PriceBook
from advisor.work.schedule import schedule
from advisor.work.settings import HIGH, LOW
from advisor.work.takeoff import begin

from .conftest import TODAY, MakeJob

MONDAY = datetime(2026, 11, 30, 8)


def test_ten_rooms_told_have_as_many_edges_as_ten_rooms_measured(make_job: MakeJob) -> None:
    """Ten squares of a tenth of the area: the square root of ten times the edges of one square (geometry)."""
    told = make_job("polished_natural", area="2000 ft2", room_count="10")
    measured = make_job("polished_natural", area=None, rooms=("14.1421 ft x 14.1421 ft",) * 10)
    assert told.extent.edges.low == pytest.approx(measured.extent.edges.low, rel=1e-4)
    assert work_hours(told)[0] == pytest.approx(work_hours(measured)[0], rel=1e-3)
    one = make_job("polished_natural", area="2000 ft2")
    assert not any("No rooms" in each for each in (*granted(told), *granted(measured)))
    said = next(each for each in granted(one) if "No rooms" in each)
    more = one.extent.edges.low * (10**0.5 - 1)
    assert f"{more / 0.3048:.0f} to" in said  # ft


@pytest.mark.parametrize(
    ("fact", "text", "least", "most"),
    [
        ("columns", "4", 3.2, 8.0),
        ("floor_drains", "2", 1.2, 2.4),
        ("doorways", "3", 2.4, 3.0),
        ("corners", "10", 2.0, 4.0),
        ("fixed_furniture", "5 m", 5.0, 5.0),
    ],
)
def test_what_stands_on_the_floor_or_is_let_into_it_makes_edges(
    make_job: MakeJob, fact: str, text: str, least: float, most: float
) -> None:
    bare, more = make_job("epoxy_solid"), make_job("epoxy_solid", **{fact: text})
    assert more.extent.edges.low - bare.extent.edges.low == pytest.approx(least)
    assert more.extent.edges.high - bare.extent.edges.high == pytest.approx(most)
    assert work_hours(more)[1] > work_hours(bare)[1]


def test_walls_that_were_measured_count_and_never_less_than_a_square_has(make_job: MakeJob) -> None:
    told = make_job("epoxy_solid", area="100 m2", perimeter="58 m")
    assert (told.extent.edges.low, told.extent.edges.high) == (58.0, 58.0)
    assert make_job("epoxy_solid", area="100 m2", perimeter="5 m").extent.edges.low == 40.0


def test_each_part_is_set_up_hired_for_and_travelled_to_anew(make_job: MakeJob, book: PriceBook) -> None:
    whole, halves = (make_job("epoxy_flake", hired=True, people=2, in_parts=n) for n in (None, "2"))
    setting_up = sum(step.task.setup.low for step in whole.steps if step.certain)
    assert work_hours(halves)[0] >= work_hours(whole)[0] + setting_up - 1e-9
    assert crew_hours(halves, LOW) >= crew_hours(whole, LOW) + whole.norm("crew_travel").low
    grinder = hire_days(halves, HIGH)["floor_grinder"]
    assert grinder % 2 == 0
    assert grinder >= hire_days(whole, HIGH)["floor_grinder"]
    assert cost(halves, book, LOW).total > cost(whole, book, LOW).total
    assert any("2 parts" in each for each in granted(halves))


def test_the_second_part_begins_once_the_first_bears_what_stood_on_it(make_job: MakeJob) -> None:
    job = make_job("epoxy_flake", in_parts="2")
    laid = schedule(job, HIGH, MONDAY)
    first = [each for each in laid.planned if each.phase.part == 1]
    second = [each for each in laid.planned if each.phase.part == 2]
    assert [each.phase.steps for each in first] == [each.phase.steps for each in second]
    last = max(each.end for each in first if each.phase.kind == "application")
    cured = job.procedure.ready.furniture.low  # h, at 25 °C; the garage is colder
    assert second[0].start >= last + timedelta(hours=cured)
    assert second[0].phase.title.startswith("Part 2")
    alone = schedule(make_job("epoxy_flake"), HIGH, MONDAY)
    assert laid.days_shut is not None
    assert alone.days_shut is not None
    assert laid.days_shut == pytest.approx(alone.days_shut, rel=0.4)  # one part; the other stays in use
    assert laid.ready["furniture"] - laid.start > 1.8 * (alone.ready["furniture"] - alone.start)


def test_by_night_work_lies_in_the_night_and_is_dearer(make_job: MakeJob, book: PriceBook) -> None:
    day, night = (make_job("cementitious_urethane", hired=True, night_work=text) for text in ("no", "yes"))
    for setting in (LOW, HIGH):
        pieces = [piece for each in schedule(night, setting, MONDAY).planned for piece in each.pieces]
        worked = [piece for piece in pieces if piece[1] - piece[0] <= timedelta(hours=7)]
        assert len(worked) >= 5
        assert all(start.hour >= 22 or start.hour < 5 for start, _ in worked)
        more = cost(night, book, setting).labour / cost(day, book, setting).labour
        pay = night.norm("night_pay")
        assert more == pytest.approx(pay.low if setting is LOW else pay.high)


def test_a_night_goes_on_past_midnight(make_job: MakeJob) -> None:
    laid = schedule(make_job("polished_natural", hired=True, night_work="yes", area="3000 ft2"), HIGH, MONDAY)
    long = [piece for each in laid.planned for piece in each.pieces if each.phase.hours > 7]
    assert any(start.date() < end.date() for start, end in long)


def test_large_floors_are_ridden_over_by_a_crew_only(make_job: MakeJob) -> None:
    """20,000 ft2 (1858 m2) of washing and densifying: a day or two of a crew, not weeks."""
    clean = {"cracks": "none", "oil_stains": "none", "spalls": "none", "water_drop_test": "soaks_in"}
    crew = make_job("penetrating_densifier", hired=True, area="20000 ft2", **clean)
    alone = make_job("penetrating_densifier", area="20000 ft2", helpers="0", **clean)
    assert "ride_on_scrubber" in hire_days(crew, HIGH)
    assert hire_days(crew, HIGH)["ride_on_scrubber"] <= 3
    assert not hire_days(crew, HIGH).get("scrubber")
    assert not hire_days(alone, HIGH).get("ride_on_scrubber")
    laid = schedule(crew, HIGH, MONDAY)
    assert laid.days_shut is not None
    assert laid.days_shut <= 5
    small = make_job("penetrating_densifier", hired=True, area="9000 ft2", **clean)
    assert not hire_days(small, HIGH).get("ride_on_scrubber")


def test_a_ridden_machine_sets_up_once_whoever_else_works(make_job: MakeJob) -> None:
    job = make_job("polished_natural", hired=True, area="20000 ft2")
    coarse = next(step.task for step in job.steps if step.id == "coarse")
    area, edges = job.extent.area.low, job.extent.edges.low
    work = area / 400 + edges / 24  # the speeds as the task states them, at their quick ends
    days = work / 8  # of one at the machine
    assert days > 1
    assert hours(job, coarse, LOW) == pytest.approx(work + coarse.setup.low * (1 + 0.25 * (days - 1)))


ROOMS = """floor: house
rooms: [20 ft x 22 ft, 3 m x 4 m]
facts:
  exposure: indoors
"""


def test_rooms_in_a_case_are_its_area_and_its_edges(base: RuleBase, reasoner: Reasoner, tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(ROOMS, encoding="utf-8")
    case = read_case(file, base, TODAY)
    area = 20 * 22 * 0.3048**2 + 12
    assert case.facts["area"].interval
    assert case.facts["area"].interval.low == pytest.approx(area, abs=0.01)
    extent = begin(reasoner, case, TODAY).extent
    assert extent.edges.low == pytest.approx(2 * (20 + 22) * 0.3048 + 14)
    save_case(case, tmp_path / "again.yaml")
    assert read_case(tmp_path / "again.yaml", base, TODAY).rooms == case.rooms
    other = begin(reasoner, case, TODAY, rooms=("41.7 m x 1.27 m",)).extent
    assert other.rooms == ("41.7 m x 1.27 m",)


@pytest.mark.parametrize(
    ("rooms", "says"), [("[20 ft]", "length x width"), ("20 ft x 22 ft", "rooms"), ("[0 m x 3 m]", "more than 0")]
)
def test_odd_rooms_in_a_case_are_told(base: RuleBase, tmp_path: Path, rooms: str, says: str) -> None:
    file = tmp_path / "odd.yaml"
    file.write_text(ROOMS.replace("[20 ft x 22 ft, 3 m x 4 m]", rooms), encoding="utf-8")
    with pytest.raises(BadCase, match=r"odd\.yaml, line 2") as caught:
        read_case(file, base, TODAY)
    assert says in str(caught.value)


def test_a_mitigation_primer_is_never_abraded(base: RuleBase, make_job: MakeJob) -> None:
    """What holds the vapour back is not sanded open: past its window, another coat of it comes first."""
    for finish in ("epoxy_over_mitigation", "flake_over_mitigation", "sand_over_mitigation"):
        job = make_job(finish, hired=True)
        after = [step for step in job.steps if "mitigation_coat" in step.after]
        assert after
        assert not [step for step in after if step.do in ("sand_dull", "sand_coating", "grind_surface")]
        primer = next(step for step in job.steps if step.id == "mitigation_coat")
        assert primer.unabraded


def _late(job: Job) -> list[str]:
    return list(schedule(job, HIGH, MONDAY, days=frozenset({0})).notes)  # worked on Mondays only


def test_what_comes_too_late_over_it_is_told_so(make_job: MakeJob) -> None:
    over = next(note for note in _late(make_job("epoxy_over_mitigation", hired=True)) if "recoat" in note)
    assert "never abraded" in over
    plain = next(note for note in _late(make_job("epoxy_solid", hired=True)) if "recoat" in note)
    assert "abrade it dull" in plain


def test_a_surface_that_scaled_is_resurfaced_not_patched(make_job: MakeJob) -> None:
    """12 mm over 200 ft2 (18.6 m2): 1.1 to 1.7 kg/m2 for each mm is 245 to 379 kg, and up to 5 % waste."""
    from advisor.work.needed import materials_needed

    worn = {"worn_depth": "12 mm", "worn_area": "200 ft2", "area": "1000 ft2"}
    job = make_job("epoxy_sand", hired=True, first=("resurface_first",), **worn)
    low, high = (materials_needed(job, setting)["patching_mortar"] for setting in (LOW, HIGH))
    assert 245 <= low <= 245 * 1.06
    assert 379 <= high <= 379 * 1.06
    assert not any("resurface" in each for each in granted(job))
    whole = make_job("epoxy_sand", hired=True, worn_depth="12 mm", area="1000 ft2")
    assert materials_needed(whole, HIGH)["patching_mortar"] > 4 * high
    shallow = make_job("epoxy_sand", hired=True, worn_depth="2 mm")
    assert "patching_mortar" not in materials_needed(shallow, HIGH)


def test_a_kitchen_that_must_be_hygienic_gets_a_cove(make_job: MakeJob) -> None:
    from advisor.work.needed import materials_needed

    with_cove = make_job("cementitious_urethane", hired=True, wall_cove="yes")
    kits = materials_needed(with_cove, LOW)["urethane_cove"]
    assert kits == pytest.approx(with_cove.extent.edges.low / 8, abs=1)
    assert "urethane_cove" not in materials_needed(make_job("cementitious_urethane", hired=True), LOW)
    assert [step.id for step in with_cove.steps if step.id == "key_edges"]


def test_the_other_way_of_counting_waste_is_offered(make_job: MakeJob, book: PriceBook) -> None:
    """100 L that stay: a tenth of what is mixed lost is 111.1 L, a tenth of what stays added is 110 L."""
    from advisor.work.needed import materials_needed
    from advisor.work.settings import HIGH_ON_TOP

    job = make_job("epoxy_solid")
    use = next(step.uses["epoxy_primer"] for step in job.steps if "epoxy_primer" in step.uses)
    share = use.loss.high / 100
    mixed, added = (materials_needed(job, setting)["epoxy_primer"] for setting in (HIGH, HIGH_ON_TOP))
    assert added / mixed == pytest.approx((1 + share) * (1 - share))
    assert cost(job, book, HIGH_ON_TOP).material <= cost(job, book, HIGH).material


def test_dust_is_what_is_ground_off(make_job: MakeJob) -> None:
    """By hand: 40.9 m2 ground 0.1 to 0.3 mm deep at 2.1 to 2.4 kg/L are 8.6 to 29.4 kg."""
    from advisor.work.needed import dust

    job = make_job("epoxy_solid")
    assert dust(job, LOW) == pytest.approx(8.6, abs=0.1)
    assert dust(job, HIGH) == pytest.approx(29.4, abs=0.1)
    assert dust(make_job("floor_paint"), HIGH) == 0.0


def test_what_moves_gets_sealant_and_what_rests_filler(make_job: MakeJob) -> None:
    """ACI 504R: nothing stiff in what moves; ACI 302.1R: semi-rigid filler where hard wheels cross what rests."""
    from advisor.work.needed import materials_needed

    crack = materials_needed(make_job("epoxy_solid", cracks="moving"), LOW)
    assert crack["joint_sealant"] > 0
    assert not {"crack_filler", "joint_filler"} & crack.keys()
    joints = {"joint_fill": "open", "vehicles": "forklifts", "joint_length": "40 m"}
    resting = materials_needed(make_job("epoxy_solid", **joints), LOW)
    assert resting["joint_filler"] == pytest.approx(40 * 5e-3 * 25e-3 * 1000 / 0.92 * 1.02)  # L, at the cheap ends
    assert "joint_sealant" not in resting
    moving = materials_needed(make_job("epoxy_solid", joints_move="yes", moving_joint_length="12 m"), LOW)
    assert moving["joint_sealant"] == pytest.approx(12 * 10e-3 * 8e-3 * 1000 / 0.9 * 1.02)


def test_an_isolation_joint_moves_unless_it_is_said_to_rest(base: RuleBase, tmp_path: Path) -> None:
    file = tmp_path / "joint.yaml"
    file.write_text("facts: {joint_kind: expansion}\n", encoding="utf-8")
    assert read_case(file, base, TODAY).facts["joints_move"].choice == "yes"
    file.write_text("facts: {joint_kind: expansion, joints_move: no}\n", encoding="utf-8")
    assert read_case(file, base, TODAY).facts["joints_move"].choice == "no"


def test_while_a_larger_machine_runs_the_other_gangs_do_the_edges(make_job: MakeJob) -> None:
    """Two gangs of two, the step of one: by hand, setting up and then the longer of machine and edges."""
    job = make_job("polished_natural", hired=True, area="20000 ft2")
    coarse = next(step.task for step in job.steps if step.id == "coarse")
    machine, edges = job.extent.area.high / 150, job.extent.edges.high / 12
    again = coarse.setup.high * 0.5 * ((machine + edges) / 8 - 1)  # on the days after the first
    assert elapsed(job, coarse, HIGH) == pytest.approx(coarse.setup.high + max(machine + again, edges))
    assert (job.gangs, crew_of(job, coarse, HIGH)) == (2, 2)
