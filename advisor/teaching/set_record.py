"""A set of lessons as data."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from pydantic import Field

from advisor.model.published import Part, Published
from advisor.teaching.lesson_sets import LessonSet


class LessonListed(Part):
    """A lesson's floor, and the rules that it exercises."""

    floor: str
    file: str | None = Field(description="The case file that was written; none where no folder was named.")
    hardness: int = Field(description="Rules that fire, and facts to keep in mind.")
    rules: tuple[str, ...]
    facts: dict[str, str]


class Lessons(Published):
    """Lessons from easy to hard."""

    format: Literal["slab-finish-lesson-set/1"] = "slab-finish-lesson-set/1"
    lessons: tuple[LessonListed, ...]
    left_out: tuple[str, ...] = Field(description="Rules for which no floor was found.")


def set_record(drawn: LessonSet, files: Sequence[Path]) -> Lessons:
    """The set as data.

    Args:
        drawn: the set.
        files: the case files in which its floors were written, in the same order; or none.
    """
    places = map(str, files) if files else [None] * len(drawn.lessons)
    return Lessons(
        lessons=tuple(
            LessonListed(
                floor=each.case.floor,
                file=place,
                hardness=each.hardness,
                rules=each.rules,
                facts={name: value.shown for name, value in each.case.facts.items()},
            )
            for place, each in zip(places, drawn.lessons, strict=True)
        ),
        left_out=drawn.left_out,
    )
