"""Days and hours as a person plans with them: never earlier than computed."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from hypothesis import given
from hypothesis import strategies as st

from advisor.engines.reasoning import Reasoner
from advisor.pages.calendar_page import laid_out
from advisor.pages.day_words import DayParts, DayWords
from advisor.work.fit import days_shut
from advisor.work.takeoff import begin

from .conftest import TODAY, MakeCase

FIRST = datetime(2026, 12, 1)
CLOCKS = {"morning": 8, "afternoon": 13, "evening": 18}
PARTS = DayParts(**CLOCKS)
NIGHTS = DayWords(FIRST, dated=True, parts=PARTS, nights=True)
DATED, NUMBERED = DayWords(FIRST, dated=True, parts=PARTS), DayWords(FIRST, dated=False, parts=PARTS)


def test_the_night_is_over_in_the_morning() -> None:
    assert DATED.part(datetime(2026, 12, 9, 0, 30)) == "Wed 9 Dec, morning"
    assert DATED.part(datetime(2026, 12, 8, 18, 30)) == "Wed 9 Dec, morning"
    assert DATED.clock(datetime(2026, 12, 8, 19, 30)) == "Wed 9 Dec 8:00"


def test_hours_are_whole_and_rounded_up() -> None:
    assert DATED.clock(datetime(2026, 12, 8, 10, 42)) == "Tue 8 Dec 11:00"
    assert NUMBERED.clock(datetime(2026, 12, 8, 10, 42)) == "day 8, 11:00"
    piece = (datetime(2026, 12, 8, 10, 42), datetime(2026, 12, 8, 10, 55))
    assert DATED.work([piece], coarse=False) == "Tue 8 Dec 11:00 to 12:00"


def test_another_year_is_named() -> None:
    assert DATED.day(datetime(2027, 1, 2)) == "Sat 2 Jan 2027"
    assert NUMBERED.day(datetime(2027, 1, 2)) == "day 33"


def test_work_over_days_is_told_from_its_first_to_its_last() -> None:
    pieces = [(FIRST + timedelta(days=day, hours=8), FIRST + timedelta(days=day, hours=16)) for day in range(30)]
    assert NUMBERED.work(pieces, coarse=True) == "day 1 to day 30"
    assert DATED.work(pieces, coarse=True) == "Tue 1 Dec to Wed 30 Dec"
    assert NUMBERED.weeks(pieces) == "1 to 5"
    assert NUMBERED.work(pieces[:2], coarse=False) == "day 1, 8:00 to day 2, 16:00"


@given(seconds=st.integers(0, 40 * 86400))
def test_nothing_is_told_earlier_than_it_is(seconds: int) -> None:
    moment = FIRST + timedelta(seconds=seconds)
    day, name = NUMBERED.part(moment).removeprefix("day ").split(", ")
    assert FIRST + timedelta(days=int(day) - 1, hours=CLOCKS[name]) >= moment
    day, hour = NUMBERED.clock(moment).removeprefix("day ").removesuffix(":00").split(", ")
    assert FIRST + timedelta(days=int(day) - 1, hours=int(hour), seconds=2) > moment


def test_what_is_ready_in_the_night_is_taken_up_then_where_nights_are_worked() -> None:
    assert NIGHTS.clock(datetime(2026, 12, 8, 0, 40)) == "Tue 8 Dec 1:00"
    assert DATED.clock(datetime(2026, 12, 8, 0, 40)) == "Tue 8 Dec 8:00"


def test_a_job_by_night_tells_the_nights(reasoner: Reasoner, make_case: MakeCase) -> None:
    for night in ("yes", "no"):
        study = begin(reasoner, make_case(room="kitchen", area="650 ft2", night_work=night, who_works="hired"), TODAY)
        plan = laid_out(study, "cementitious_urethane", datetime(2026, 11, 30))
        assert plan
        assert plan.words.nights == (night == "yes")


def test_nights_are_counted_from_their_first_hour_wherever_days_are_told(
    reasoner: Reasoner, make_case: MakeCase
) -> None:
    """A plan asked for from a day on does not begin at midnight, in the middle of a night, and end a day sooner."""
    for night in ("yes", "no"):
        study = begin(reasoner, make_case(room="kitchen", area="650 ft2", night_work=night, who_works="hired"), TODAY)
        finish = study.advice.answer.leading
        assert finish
        plan = laid_out(study, finish, datetime.combine(TODAY, time()))
        assert plan
        assert (plan.quick.days_shut, plan.slow.days_shut) == days_shut(study, study.job(finish))
