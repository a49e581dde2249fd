"""Days and hours as a person plans with them: never earlier than computed."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from advisor.pages.day_words import DayParts, DayWords

FIRST = datetime(2026, 12, 1)
CLOCKS = {"morning": 8, "afternoon": 13, "evening": 18}
PARTS = DayParts(**CLOCKS)
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
