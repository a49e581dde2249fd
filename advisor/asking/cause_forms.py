"""What went wrong with a floor, as data: the causes by how well they fit, what tells them apart, what helps."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.model.advice import Referred, RuleBaseMark
from advisor.model.published import Part, Published
from advisor.model.standing import Hazard, Points, Reason

Fit = Literal["likely", "possible", "hardly", "excluded"]
FITS: tuple[Fit, ...] = ("likely", "possible", "hardly", "excluded")


class Complaint(Part):
    """Something that went wrong, and the causes told that explain it."""

    complaint: str
    says: str
    explained_by: tuple[str, ...] = Field(description="Causes that are likely or possible; none: it is unexplained.")


class CauseFound(Part):
    """How well one cause fits this floor, with the rules that speak for and against it."""

    cause: str
    name: str
    what: str
    family: str
    fit: Fit
    points: int = Field(description="One point about doubles the odds, as far as signs are independent.")
    explains: tuple[str, ...]
    speaks_for: tuple[Points, ...]
    speaks_against: tuple[Points, ...]
    excluded_by: tuple[Reason, ...]
    danger: str = Field(description="Who may be hurt if it is missed; empty where nobody is.")
    in_sight: bool = Field(description="The danger is shown: the cause is not excluded, and told or usually shows so.")


class OutcomeOfLook(Part):
    """What one answer would mean: the causes that then come first, and those that it would exclude."""

    value: str
    share: float = Field(description="How often it is met, by the likelihoods.")
    first: tuple[str, ...]
    excludes: tuple[str, ...] = Field(description="Causes told here that could then not be.")
    settles: bool = Field(description="Whether the one that comes first would then be likely, and no other possible.")


class Look(Part):
    """A look, question or test that tells the leading causes apart."""

    fact: str
    ask: str
    find_out: str
    effort: str
    settles_bits: float
    outcomes: tuple[OutcomeOfLook, ...]


class RemedyFound(Part):
    """What to do about a cause on this floor."""

    cause: str
    first: tuple[str, ...] = Field(default=(), description="Due before anybody touches what lies there.")
    due: tuple[str, ...] = Field(default=(), description="Tests, samples and visits due before money is spent on it.")
    hazards: tuple[Hazard, ...] = Field(default=(), description="What the work against it can harm, gravest first.")
    take_off: str
    mend: str
    spot: str
    call: str
    stand: tuple[str, ...] = Field(description="The best finishes that are not ruled out and would not fail this way.")
    fail_again: tuple[str, ...] = Field(description="Finishes that would fail the same way.")
    sources: tuple[str, ...]


class Causes(Published):
    """What went wrong with a floor."""

    format: Literal["slab-finish-causes/1"] = "slab-finish-causes/1"
    floor: str
    date: str
    rule_base: RuleBaseMark
    sentence: str
    stops: tuple[Referred, ...] = Field(description="Professionals who come first, whatever the cause.")
    complaints: tuple[Complaint, ...]
    causes: tuple[CauseFound, ...] = Field(description="Those that explain a complaint, best first; excluded last.")
    together: tuple[tuple[str, ...], ...] = Field(
        description="The smallest sets that explain all that is explained, each part by a cause near the best for it."
    )
    looks: tuple[Look, ...] = Field(description="What tells them apart best for its effort first.")
    waiting: tuple[str, ...] = Field(
        default=(), description="Facts that would tell too, but disturb what must be tested first (`first`)."
    )
    clearing: tuple[str, ...] = Field(default=(), description="Unknown facts of which an answer may clear `first`.")
    first: tuple[str, ...] = Field(default=(), description="Due before anybody touches what lies there.")
    due: tuple[str, ...] = Field(
        default=(), description="Other tests, samples and visits due: for the likely causes, and for dangers in sight."
    )
    hazards: tuple[Hazard, ...] = Field(default=(), description="What the work against these can harm, gravest first.")
    remedies: tuple[RemedyFound, ...] = Field(description="Of the likely causes.")
    not_now: tuple[str, ...] = Field(description="What would do harm before the cause is known and mended.")
    seen: tuple[tuple[str, str], ...] = Field(description="What was told, each fact with its value, in words.")
    deference: str

    def told(self, *fits: Fit) -> tuple[CauseFound, ...]:
        """The causes that fit so."""
        return tuple(each for each in self.causes if each.fit in fits)
