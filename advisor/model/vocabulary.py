"""Facts of a floor: what each can be, how it is asked for, worked out and changed, how often its values are met."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AliasChoices, Field

from advisor.model.entry import Added, Entry, Sources, Text, Texts, YesNo
from advisor.model.quantities import Several
from advisor.physics.bounds import Interval

YES_NO = ("yes", "no")


class Quality(Entry):
    """A named thing with a type: a fact of the floor or a property of a finish."""

    type: Literal["number", "choice", "choices", "yes/no"]
    unit: str = ""
    values: tuple[str, ...] = ()

    @property
    def choices(self) -> tuple[str, ...]:
        """The values it can have; empty for a number."""
        return YES_NO if self.type == "yes/no" else self.values


class Assumption(Entry):
    """The value taken where a case is silent."""

    given: str = Field(alias="is")
    source: str
    note: Text


class Computation(Entry):
    """The function in `advisor.facts.formulas` that works a fact out, the facts it takes, and what it rests on."""

    by: str
    inputs: tuple[str, ...] = Field(alias="from")
    method: Text
    source: Sources


ChangeKind = Literal["fixed", "choose", "test", "wait", "do", "use"]


class Change(Entry):
    """What it takes to change a fact that can be changed in this way, beside the other ways."""

    cost: Annotated[float, Field(ge=0.1, le=1000, allow_inf_nan=False)]
    means: Text


class Validity(Entry):
    """For how long a dated test counts, as in `30 days`."""

    given: str = Field(alias="is")
    source: Sources


class FactKind(Quality):
    """A fact in the vocabulary."""

    range: str = ""
    also: dict[str, Texts] = Field(default={})  # by value: what else people call it
    says_too: dict[str, dict[str, str]] = Field(default={})  # by words for a value: what they say of other facts
    ask: Text | None = None  # missing: the fact is only ever worked out
    find_out: str = ""
    means: str = ""
    why: Text
    assume: Assumption | None = None
    computed: Computation | None = None
    needless_where: dict[str, Texts] = Field(default={})  # by choice of another fact: it is not missing there
    of: Literal["floor", "finish"] = "floor"
    change: ChangeKind = "fixed"  # how the fact can come to be otherwise; one of the section `changes`
    values_from: Literal["finishes", ""] = ""  # its values are their ids, and their names other spellings
    values_of: str = ""  # another fact, whose values and other spellings are its own as well
    several: Several = "span"  # what counts of several readings, as `78, 80, 84 %`
    disturbs: YesNo = False  # to find it out, what lies on the slab is broken, scraped, drilled or picked at
    valid: Validity | None = None  # missing: what was found once does not age
    implied_by: dict[str, dict[str, str]] = Field(default={})  # by other fact, and its value: the value implied
    unknown_means: str = ""  # the yes/no fact "sought, and not to be had"; `unknown` said of this one sets it
    adds: Added = ()
    plausible: Interval = Interval(0.0, 0.0)  # `range`, read


class Contradiction(Entry):
    """Facts that cannot be true of one floor together, or hardly can.

    A case that states what cannot be is refused. What hardly can be (it has a `test` that would decide) is named in
    the answer, with likely explanations, and nothing rests on any of the facts under `when`.
    """

    when: dict[str, Texts]
    says: Text
    explanations: Texts = ()
    test: Text | None = None
    caution: Texts = ()  # shown while it is undecided, since the rules no longer see the facts
    source: Texts = Field(default=(), validation_alias=AliasChoices("source", "sources"))


class Effort(Entry):
    """What finding a fact out costs, beside a plain question, which costs 1."""

    cost: Annotated[float, Field(ge=0.1, le=1000, allow_inf_nan=False)]
    means: Text


Shares = dict[str, Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)]]


class Where(Entry):
    """How often each value of a fact is met on floors that meet some conditions, written like a rule's."""

    when: dict[str, Texts]
    likely: Shares


class Prior(Entry):
    """How often each value of a fact is met before anybody asks, and the effort of finding out."""

    likely: Shares
    where: tuple[Where, ...] = ()  # the first that the floor surely meets takes the place of `likely`
    effort: str
    after: Texts = ()  # asked only once one of these facts is known
    unless: Texts = ()  # not asked once one of these is known, which tells more
    source: Sources
