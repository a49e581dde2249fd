"""What an answer hangs on, as data: the rules, facts and importances without which it would be another."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.model.published import Part
from advisor.model.standing import AnswerKind, Reason


class Weighed(Part):
    """A criterion that the customer said matters more or less than usual."""

    criterion: str
    importance: str
    alone: bool = Field(description="If it mattered as usual, all else as it is, another answer would be given.")
    otherwise: str | None = Field(description="The finish that would then be recommended or waited for.")


Does = Literal["stops", "holds", "waits", "excludes", "points", "conditions", "finds"]
OF_FINISHES: tuple[Does, ...] = ("points", "excludes", "conditions", "finds")
Bears = Literal["alone", "together", "too"]
TieBreak = Literal["", "conditions", "order"]


class FactValues(Part):
    """A fact with some of its values, in words."""

    fact: str
    values: str


class FactBearing(FactValues):
    """How a fact bears on the answer, all else as it is: its values with which, alone or together, another is given."""

    stated: bool = Field(description="The case states the fact; else nobody has said.")
    bears: Literal["alone", "together", "too", "not"] = Field(
        description="Alone: with `values` another answer is given. Together: with those and those of the others. Too: "
        "the same, and the case states them all, so that each as it is holds the answer. Not: neither alone nor with "
        "one other fact (two, where sets of three were asked for)."
    )
    others: tuple[FactValues, ...] = Field(description="The facts that turn it together with this one.")
    cost: float = Field(description="Of the cheapest of these values: to choose, find out, bring about; relative.")
    to: tuple[str, ...] = Field(description="The finishes that are recommended or waited for then, or kinds of answer.")


class Bearing(Reason):
    """A rule on which the answer hangs: without it, or without it and others together, another answer is given."""

    finish: str = Field(description="The finish that it speaks of; empty where it is about the floor.")
    does: Does = Field(description="To the answer: excludes another finish, gives points, asks for what comes first.")
    criterion: str
    points: int = Field(description="Weighted, by which it puts the leading finish before `over`.")
    over: str | None = Field(description="The finish before which it puts the leading one.")
    bears: Bears = Field(
        description="Alone: without it another answer is given. Together: without it and `others`. Too: the same, and "
        "each of them would hold the answer by itself."
    )
    others: tuple[str, ...] = Field(description="Rules of the smallest set with this one.")
    level: bool = Field(description="Without them two finishes are level, and what breaks such a tie decides.")
    to: AnswerKind = Field(description="Which kind of answer is given without them.")
    to_finish: str | None

    def puts_ahead(self, leading: str | None) -> bool:
        """Whether without it another finish would lead than the one that does."""
        return self.does in OF_FINISHES and self.to_finish != leading  # not to wait is no other finish
