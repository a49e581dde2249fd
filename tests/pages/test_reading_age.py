"""What a homeowner sees is read at about twelve (Kincaid's grade; see `tests/benchmarks/reading_age.py`)."""

from __future__ import annotations

from datetime import date

from advisor import load
from tests.benchmarks.reading_age import SCHOOL_BEGINS, grade, read_by_a_homeowner, sentences

OLDEST = 12.5  # years
TODAY = date(2026, 11, 27)


def test_questions_answers_and_letters_are_read_at_twelve() -> None:
    ages = {where: SCHOOL_BEGINS + grade(list(sentences(texts))) for where, texts in read_by_a_homeowner(load(), TODAY)}
    assert len(ages) > 3
    assert {where: round(age, 1) for where, age in ages.items() if age > OLDEST} == {}
