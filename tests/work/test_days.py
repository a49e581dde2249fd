"""Networks against networkx and by hand; calendars that keep hours, waits, days off and the weather."""

from __future__ import annotations

import itertools
from datetime import datetime, timedelta
from pathlib import Path

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.model.knowledge import RuleBase
from advisor.physics.air import dew_margin
from advisor.physics.bounds import Interval
from advisor.work.network import Activity, critical_path, pert
from advisor.work.pace import crew_of, hire_days, machines, work_hours
from advisor.work.phases import activities, phases, scaled
from advisor.work.schedule import (
    EVERY_DAY,
    WEEKDAYS,
    Planned,
    Schedule,
    days_asked,
    numbered_from,
    schedule,
)
from advisor.work.settings import HIGH, LOW, Setting
from advisor.work.weather import BadWeather, Conditions, forbidden, read_weather, weather_limits

from .conftest import MakeJob

START = datetime(2026, 12, 1)  # a Tuesday
HOUR = timedelta(hours=1)


@st.composite
def networks(draw: st.DrawFn) -> dict[str, Activity]:
    size = draw(st.integers(1, 9))
    found = {}
    for number in range(size):
        before = draw(st.sets(st.integers(0, number - 1), max_size=3)) if number else set()
        times = draw(st.integers(0, 20)), draw(st.integers(0, 20))
        found[str(number)] = Activity(float(times[0]), float(times[1]), tuple(str(each) for each in sorted(before)))
    return found


def longest_by_networkx(network: dict[str, Activity]) -> float:
    """The longest path through a graph whose edges carry what an activity and its wait take."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    for name, each in network.items():
        graph.add_edge(name, "end", weight=each.duration + each.wait)
        for before in each.after:
            graph.add_edge(before, name, weight=network[before].duration + network[before].wait)
    return float(nx.dag_longest_path_length(graph))


@given(network=networks())
def test_the_critical_path_is_the_longest_path(network: dict[str, Activity]) -> None:
    plan = critical_path(network)
    assert plan.length == longest_by_networkx(network)
    along = sum(network[name].duration + network[name].wait for name in plan.critical)
    assert along == plan.length
    assert all(plan.times[name].slack == pytest.approx(0.0) for name in plan.critical)


@given(network=networks(), data=st.data())
def test_what_slips_by_its_slack_does_not_delay_the_whole(network: dict[str, Activity], data: st.DataObject) -> None:
    plan = critical_path(network)
    name = data.draw(st.sampled_from(sorted(network)))
    slack, each = plan.times[name].slack, network[name]
    assert slack >= 0
    within = {**network, name: Activity(each.duration + slack, each.wait, each.after)}
    beyond = {**network, name: Activity(each.duration + slack + 1, each.wait, each.after)}
    assert critical_path(within).length == plan.length
    assert critical_path(beyond).length == plan.length + 1


def test_a_network_worked_by_hand() -> None:
    """A 3 h, then B 4 h (after it wait 2) and C 8 h beside each other, then D 1 h: 3 + 8 + 1 = 12; B has 2 to spare."""
    plan = critical_path(
        {
            "a": Activity(3),
            "b": Activity(4, 2, ("a",)),
            "c": Activity(8, 0, ("a",)),
            "d": Activity(1, 0, ("b", "c")),
        }
    )
    assert (plan.length, plan.critical) == (12, ("a", "c", "d"))
    assert (plan.times["b"].start, plan.times["b"].slack) == (3, 2)


def test_pert_by_hand() -> None:
    """(1, 2, 3) and (2, 4, 12): means 2 and 5, spreads 1/3 and 5/3 (the method as in any handbook)."""
    expected = pert([(1, 2, 3), (2, 4, 12)])
    assert expected.mean == pytest.approx(7.0)
    assert expected.spread == pytest.approx((1 / 9 + 25 / 9) ** 0.5)


def test_colder_is_slower_by_the_stated_factor() -> None:
    assert scaled(Interval(10, 10), Interval(25, 25), Interval(2, 2), Interval(15, 15)) == Interval(20, 20)
    assert scaled(Interval(10, 12), Interval(20, 20), Interval(1.5, 2), Interval(10, 20)) == Interval(10, 24)


def keeps_the_rules(found: Schedule, after: dict[str, tuple[str, ...]]) -> None:
    """No two works at one time, all within working hours, nothing before the waits before it are over."""
    work = sorted(piece for each in found.planned if each.phase.kind != "cure" for piece in each.pieces)
    assert all(first[1] <= second[0] for first, second in itertools.pairwise(work))
    for start, end in work:
        assert start.date() == end.date()
        assert start.hour + start.minute / 60 >= 8
        assert end <= datetime(end.year, end.month, end.day, 16) + timedelta(seconds=1)
    by_id = {each.phase.id: each for each in found.planned}
    for each in found.planned:
        if each.phase.kind != "cure":
            assert all(by_id[name].free <= each.start for name in after[each.phase.id])
            done = sum(((end - start) / HOUR for start, end in each.pieces), 0.0)
            assert done == pytest.approx(each.phase.hours, abs=0.01)


@pytest.mark.parametrize("setting", [LOW, HIGH, Setting(0.5)], ids=["quick", "slow", "middle"])
def test_every_finish_has_a_calendar_that_keeps_the_rules(base: RuleBase, make_job: MakeJob, setting: Setting) -> None:
    for finish in base.finishes:
        job = make_job(finish, spalls="few", cracks="hairline", oil_stains="deep")
        found = schedule(job, setting, START)
        assert not found.blocked
        keeps_the_rules(found, {phase.id: phase.after for phase in phases(job, setting)})
        last = max(each.end for each in found.planned if each.phase.kind == "application")
        assert last < found.ready["walked_on"] <= found.ready["furniture"] <= found.ready["vehicles"]
        assert found.ready["walked_on"] <= found.ready["washed"]


def test_days_agree_with_what_the_rules_say_of_the_finish(base: RuleBase, make_job: MakeJob) -> None:
    """Two statements of the rule base, the step's waits and the finish's days, must overlap within half a day."""
    apart = {}
    for finish in base.finishes.values():
        job = make_job(finish.id)
        stated = finish.properties["days_until_walked"].interval
        found = [schedule(job, setting, START + 8 * HOUR).days_shut or 0.0 for setting in (LOW, HIGH)]
        assert stated is not None
        if found[0] > stated.high + 0.5 or found[1] < stated.low - 0.5:
            apart[finish.id] = found, stated
    assert not apart


def test_days_until_water_furniture_and_full_use_lie_within_the_plan(base: RuleBase, make_job: MakeJob) -> None:
    """The finish's days, which the rules weigh, lie within those that the plan works out, give or take half a day."""
    apart = {}
    for finish in base.finishes.values():
        quick, slow = (schedule(make_job(finish.id), setting, START + 8 * HOUR) for setting in (LOW, HIGH))
        full = "furniture" if finish.properties["vehicle_class"].choices == ("none",) else "vehicles"
        returns = {"days_until_wet": "washed", "days_until_furniture": "furniture", "days_until_full_use": full}
        for name, moment in returns.items():
            stated = finish.properties[name].interval
            days = [(each.ready[moment] - each.start) / timedelta(days=1) for each in (quick, slow)]
            assert stated is not None
            if not days[0] - 0.5 <= stated.low <= stated.high <= days[1] + 0.5:
                apart[finish.id, name] = days, stated
    assert not apart


def test_waits_of_cracks_and_patches_overlap(make_job: MakeJob) -> None:
    job = make_job("epoxy_solid", spalls="few", cracks="hairline")
    found = {each.phase.id: each for each in schedule(job, LOW, START).planned}
    assert found["patch_holes"].start < found["fill_cracks"].free
    plan = critical_path(activities(job, LOW))
    assert plan.times["fill_cracks"].slack > 0 or plan.times["patch_holes"].slack > 0


def test_a_coat_and_what_is_strewn_into_it_are_one_time_of_work(make_job: MakeJob) -> None:
    found = {phase.id: phase for phase in phases(make_job("epoxy_flake"), LOW)}
    assert "flakes" not in found
    assert [step.id for step in found["body_coat"].steps] == ["body_coat", "flakes"]


def test_a_coat_is_not_begun_when_the_day_is_too_short(make_job: MakeJob) -> None:
    late = 0
    for hour in range(8, 16):
        for each in schedule(make_job("epoxy_solid"), HIGH, START + hour * HOUR).planned:
            if each.phase.together:
                assert len(each.pieces) == 1
                late += each.start.hour > 8
    assert late  # some coats begin during the day, so that the check above could fail


def test_colder_means_later_and_more_hands_mean_sooner(make_job: MakeJob) -> None:
    def walked(**changed: object) -> datetime:
        return schedule(make_job("epoxy_solid", **changed), HIGH, START).ready["walked_on"]  # type: ignore[arg-type]

    assert walked(air_temperature="54 F") > walked()
    assert walked(people=1) > walked(people=3)
    first, often = (
        work_hours(make_job("epoxy_solid", floor_machine_before="never")),
        work_hours(make_job("epoxy_solid", floor_machine_before="often", mixed_coatings_before="often")),
    )
    assert first[1] > often[1]


@pytest.mark.parametrize(
    ("hired", "asked", "weekends"), [(False, None, True), (True, None, False), (True, False, True)]
)
def test_a_crew_keeps_its_weekend_unless_asked(
    make_job: MakeJob, hired: bool, asked: bool | None, weekends: bool
) -> None:
    friday = datetime(2026, 12, 4)
    found = schedule(make_job("overlay_sealed", hired=hired), HIGH, friday, days=days_asked(asked))
    worked = {start.weekday() for each in found.planned if each.phase.kind != "cure" for start, _ in each.pieces}
    assert bool(worked & {5, 6}) == weekends


@pytest.mark.parametrize("celsius", [12, 21])
@pytest.mark.parametrize("weekday", range(5))
def test_no_coat_is_planned_past_the_window_of_the_one_below(make_job: MakeJob, weekday: int, celsius: int) -> None:
    begun = datetime(2026, 12, 7) + timedelta(days=weekday)
    degrees = f"{celsius} degC"
    for finish in (
        "epoxy_flake",
        "epoxy_sand",
        "epoxy_solid",
        "epoxy_over_mitigation",
        "epoxy_aliphatic_top",
        "overlay_sealed",
    ):
        for setting in (LOW, HIGH):
            job = make_job(finish, hired=True, air_temperature=degrees, slab_temperature=degrees)
            found = schedule(job, setting, begun)
            over = {each.phase.id: each for each in found.planned}
            for each in over.values():
                for below in (over[name] for name in each.phase.after if each.phase.kind != "cure"):
                    if below.phase.latest is not None:
                        assert each.start <= below.end + timedelta(hours=below.phase.latest), (finish, each.phase.id)
            assert not found.notes


def test_where_no_working_hour_lies_in_the_window_it_says_to_abrade(make_job: MakeJob) -> None:
    # by hand: at 21 C a slow first coat is walked on 6 h after its 3 h of work, when the day is over, and its window of
    # 15 h ends in the night
    found = schedule(make_job("fast_cure_aliphatic", hired=True), HIGH, datetime(2026, 12, 7))
    assert len(found.notes) == 1
    assert "abrade" in found.notes[0].lower()


def test_a_primer_on_a_friday_waits_for_monday_where_its_window_is_shorter_than_the_weekend(make_job: MakeJob) -> None:
    # by hand: 20 to 26 h after the primer the next coat must be on, and from Friday noon to Monday 8:00 are 68 h
    job = make_job("epoxy_solid", hired=True, area="1500 ft2")
    starts = {each.phase.id: each.start for each in schedule(job, HIGH, datetime(2026, 12, 9)).planned}
    assert starts["body_coat"] - starts["primer_coat"] < timedelta(days=2)
    assert starts["primer_coat"].weekday() in range(4)


def test_days_without_dates_count_from_a_monday_where_there_is_a_weekend() -> None:
    friday = datetime(2026, 12, 4, 8)
    assert numbered_from(friday, WEEKDAYS) == datetime(2026, 12, 7, 8)
    assert numbered_from(datetime(2026, 12, 7, 8), WEEKDAYS) == datetime(2026, 12, 7, 8)
    assert numbered_from(friday, EVERY_DAY) == friday


def forecast(folder: Path, cold_days: int, days: int = 60) -> Path:
    """So many days at 4 °C, then 20 °C, dry; the slab with the air."""
    rows = ["time,air_c,humidity,slab_c"]
    for hour in range(24 * days):
        air = 4 if hour < 24 * cold_days else 20
        rows.append(f"{(START + hour * HOUR).isoformat()},{air},50,{air}")
    (folder / "forecast.csv").write_text("\n".join(rows), encoding="utf-8")
    return folder / "forecast.csv"


def test_coats_wait_for_the_warm_days_and_grinding_does_not(make_job: MakeJob, tmp_path: Path) -> None:
    weather = read_weather(forecast(tmp_path, 9), 15.0)
    found = {each.phase.id: each for each in schedule(make_job("epoxy_solid"), LOW, START, weather).planned}
    assert found["grind_surface"].start < START + timedelta(days=3)
    assert found["primer_coat"].start >= START + timedelta(days=9)


def test_no_coat_goes_on_within_the_dew_points_reach(base: RuleBase, make_job: MakeJob, tmp_path: Path) -> None:
    """Forenoons 2.8 K above the dew point (20 °C, 74 %, slab 18 °C), below the 3 K that the finish needs; then dry."""
    rows = ["time,air_c,humidity,slab_c"]
    for hour in range(24 * 30):
        damp = hour < 24 * 20 and hour % 24 < 12
        rows.append(f"{(START + hour * HOUR).isoformat()},20,{74 if damp else 50},18")
    (tmp_path / "damp.csv").write_text("\n".join(rows), encoding="utf-8")
    weather = read_weather(tmp_path / "damp.csv", 15.0)
    found = schedule(make_job("epoxy_solid"), HIGH, START, weather)
    needed = base.finishes["epoxy_solid"].properties["dew_point_margin_needed"].interval
    coats = [each for each in found.planned if each.phase.weather]
    assert needed is not None
    assert coats
    assert coats[0].start >= START + timedelta(days=19, hours=12)
    for each in coats:
        hour = each.start.replace(minute=0)
        while hour < each.end + timedelta(hours=each.phase.guard):
            now = weather.at(hour)
            assert now is not None
            assert dew_margin(now.slab, now.air, now.humidity) >= needed.high
            hour += HOUR


def test_a_forecast_that_never_allows_it_is_told(make_job: MakeJob, tmp_path: Path) -> None:
    found = schedule(make_job("epoxy_solid"), LOW, START, read_weather(forecast(tmp_path, 30, days=30), 15.0))
    assert "No fit hours for: Mix and roll the primer" in found.blocked
    assert not found.ready


def test_a_slab_that_nobody_measured_is_as_warm_as_the_air_of_half_a_day_before_and_after(tmp_path: Path) -> None:
    """A day at 0 °C, then one at 20 °C: at its beginning the slab is at 0, at midnight at 13 of 25 hours of 20 °C."""
    rows = ["time,air_c,humidity"]
    rows += [f"{(START + hour * HOUR).isoformat()},{0 if hour < 24 else 20},50" for hour in range(48)]
    (tmp_path / "step.csv").write_text("\n".join(rows), encoding="utf-8")
    weather = read_weather(tmp_path / "step.csv", 15.0)
    slabs = [now.slab for hour in (0, 24, 47) if (now := weather.at(START + hour * HOUR))]
    assert slabs == pytest.approx([0.0, 20.0 * 13 / 25, 20.0])


def test_work_in_pieces_ends_with_the_last(make_job: MakeJob) -> None:
    phase = phases(make_job("epoxy_solid"), LOW)[0]
    pieces = ((START, START + HOUR), (START + 24 * HOUR, START + 26 * HOUR))
    planned = Planned(phase, pieces, START + 30 * HOUR)
    assert (planned.start, planned.end) == (START, START + 26 * HOUR)


@given(air=st.integers(-5, 45).map(float), slab=st.integers(-5, 45).map(float), humidity=st.integers(1, 100).map(float))
def test_an_hour_is_fit_where_the_rules_of_the_work_day_ask_for_nothing(
    base: RuleBase, air: float, slab: float, humidity: float
) -> None:
    """Against the four limits of a finish, read here from its properties: hardest to meet, as unknown is never no."""
    for name in ("epoxy_solid", "penetrating_repellent", "polished_natural", "loose_cover"):
        of = {each: value.interval for each, value in base.finishes[name].properties.items()}
        coldest, hottest = of["lowest_temperature"], of["highest_temperature"]
        most, margin = of["highest_air_humidity"], of["dew_point_margin_needed"]
        unfit = {
            "cold": coldest is not None and min(air, slab) < coldest.high,
            "hot": hottest is not None and max(air, slab) > hottest.low,
            "humid": most is not None and humidity > most.low,
            "dew": margin is not None and dew_margin(slab, air, humidity) < margin.high,
        }
        said = forbidden(weather_limits(base, base.finishes[name]), Conditions(air, humidity, slab))
        assert bool(said) == any(unfit.values()), (name, unfit, said)


def test_why_an_hour_is_not_fit_is_told_with_its_limit(base: RuleBase) -> None:
    limits = weather_limits(base, base.finishes["epoxy_solid"])
    assert forbidden(limits, Conditions(5.0, 40.0, 20.0)) == "air temperature below 10 °C"
    assert forbidden(limits, Conditions(20.0, 95.0, 25.0)) == "humidity of the air above 85 %"


def test_a_seasons_profile_is_swung_over_the_day(make_job: MakeJob, tmp_path: Path) -> None:
    (tmp_path / "season.csv").write_text(
        "month,day_f,night_f,day_humidity,night_humidity\n12,41,32,60,80\n1,41,32,60,80\n4,68,50,50,70\n"
    )
    weather = read_weather(tmp_path / "season.csv", 15.0)
    warmest, coldest = weather.at(datetime(2026, 4, 2, 15)), weather.at(datetime(2026, 4, 2, 3))
    assert warmest is not None
    assert coldest is not None
    assert (warmest.air, warmest.humidity) == (pytest.approx(20.0), pytest.approx(50.0))
    assert (coldest.air, coldest.humidity) == (pytest.approx(10.0), pytest.approx(70.0))
    assert warmest.slab == pytest.approx(15.0)
    assert "No fit hours" in schedule(make_job("epoxy_solid"), LOW, START, weather).blocked


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time,air_c,humidity\nnoon,20,50\n", "row 2, column time"),
        ("time,air_c,humidity\n2026-12-01T08:00,warm,50\n", "row 2, column air_c"),
        ("time,air_c,humidity\n2026-12-01T08:00,20,150\n", "row 2, column humidity"),
        ("time,air_c,humidity\n2026-12-01T08:00,20,50\n2026-12-01T08:00,20,50\n", "row 3, column time"),
        ("time,humidity\n2026-12-01T08:00,50\n", "the column is missing"),
        ("time,air_c,air_f,humidity\n2026-12-01T08:00,20,90,50\n", "air_c and air_f are both there"),
        ("month,day_c,night_c,day_humidity,night_humidity\n13,20,10,50,60\n", "row 2, column month"),
        ("day,air_c\n1,20\n", "neither a column `time` nor `month`"),
        ("time,air_c\n", "no row"),
    ],
)
def test_weather_that_cannot_be_read_is_refused(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "weather.csv").write_text(text)
    with pytest.raises(BadWeather, match=words):
        read_weather(tmp_path / "weather.csv", 15.0)


def test_a_large_floor_has_several_gangs_with_their_own_machines(make_job: MakeJob) -> None:
    # by hand: 200 to 700 h on 20,000 ft2 are 4 to 11 stretches of 4 days of two people, so 4 gangs; 440 ft2 are one
    job = make_job("epoxy_solid", hired=True, area="20000 ft2")
    assert 200 < work_hours(job)[0] < work_hours(job)[1] < 700
    assert (job.gangs, job.people, make_job("epoxy_solid", hired=True).gangs) == (4, 8, 1)
    few = make_job("epoxy_solid", hired=True, area="20000 ft2", people=2)
    assert few.gangs == 1
    most, alone = (schedule(each, HIGH, datetime(2026, 12, 7)).days_shut or 0.0 for each in (job, few))
    assert most < 0.5 * alone
    assert work_hours(job) == work_hours(few)  # as much work, by more hands
    assert hire_days(job, HIGH) == hire_days(few, HIGH)  # and as many days of machines


def test_another_gang_comes_for_hours_and_no_machine_for_less_than_a_day(make_job: MakeJob) -> None:
    """By hand: a densifier takes some 15 h on 400 m2, a day of two; grinding a floor of 1,000 m2 some days of each."""
    assert make_job("penetrating_densifier", hired=True, area="400 m2").gangs == 1
    job = make_job("epoxy_solid", hired=True, area="1000 m2")
    assert job.gangs > 1
    for setting in (LOW, HIGH):
        for step in job.steps:
            if step.task.hire and crew_of(job, step.task, setting) > step.task.people.most:
                days = sum(hire_days(job, setting)[name] for name in machines(job, step.task)[:1])
                assert crew_of(job, step.task, setting) <= step.task.people.most * days, step.id
