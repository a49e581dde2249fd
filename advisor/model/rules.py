"""Rules, and all that they compare with and conclude; and claims, which say what must be so on every floor."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import Field, model_validator

from advisor.model.entry import Added, Entry, Sources, Text, Texts, YesNo
from explanations.wording import label, wording


class Limit(Entry):
    """A named number that conditions compare with; or the age of what is from the end of a year (see `years`)."""

    given: str = Field("", alias="is")
    end_of: Annotated[str, Field(pattern=r"^([0-9]{4})?$")] = ""  # in place of `is`: the calendar year
    means: Text
    source: Sources

    @model_validator(mode="after")
    def _one_of_them(self) -> Limit:
        if bool(self.given) == bool(self.end_of):
            raise ValueError(wording("rules.entry_of.limit"))
        return self


class Finding(Entry):
    """A derived proposition; rules conclude it and other rules build on it."""

    says: Text
    of: Literal["floor", "finish", "cause"] = "floor"


NeedKind = Literal["test", "wait", "repair", "prepare", "choose", "ask"]


Severity = Literal["danger", "warning", "caution"]


SEVERITIES: tuple[Severity, ...] = get_args(Severity)  # the worst first


class Need(Entry):
    """Something to test, do or ask first."""

    kind: NeedKind
    decides: YesNo
    says: Text
    source: Sources
    asks: str | None = None  # of the kind `ask`: the fact that is asked for
    untouched: Texts = ()  # facts that nobody may change before it is done
    adds: Added = ()


class Caution(Entry):
    """A hazard, what to call it in a list, and the step of the work that causes it."""

    title: str = ""
    severity: Severity
    step: Literal["preparation", "grinding", "mixing", "application", "cure", "disposal", "use", "any"]
    usual: YesNo = False  # comes with the work as such: where room is short it is named, not told in full
    hangs_on: Texts = ()  # facts that say whether it is there: while none of them is known, the same
    says: Text
    brief: str = ""  # what harms and what to do, in one sentence: told where room is shortest (empty: all that it says)
    source: Sources
    adds: Added = ()

    def named(self, name: str) -> str:
        """What to call it in a list: its title, or else its id in words."""
        return self.title or label("caution", name)


class Referral(Entry):
    """A professional to call, for which sign, and what to tell them."""

    who: Text
    brief: str = ""  # the same where room is shortest (empty: as it stands)
    stop: YesNo
    tell: Text
    source: Sources
    untouched: Texts = ()  # facts that nobody may change before they have been
    beyond: YesNo = False  # no finish here is for such a floor, so none is named while they are awaited
    leave: YesNo = False  # everybody leaves at once: nothing is looked at or done before they have been
    adds: Added = ()


class Criterion(Entry):
    """What points are awarded under, and the fact that says how much it matters to the customer (empty: as usual)."""

    name: Text
    importance: str


class Then(Entry):
    """What a rule concludes; only ever adds."""

    finding: Texts = ()
    rule_out: YesNo = False
    first: Texts = ()
    hold: Texts = ()
    points: dict[str, Annotated[int, Field(ge=-5, le=5)]] = Field(default={})
    caution: Texts = ()
    refer: Texts = ()


class Rule(Entry):
    """A rule as written; `topic` is the part of its id before the dot."""

    id: Annotated[str, Field(pattern=r"^[a-z_]+\.[a-z0-9_]+$")]
    judges: Literal["every finish", "every cause"] | dict[str, Texts] | None = None
    when: dict[str, Texts] = Field(default={})
    then: Then
    because: Text
    source: Sources
    protects: YesNo = False  # whether it rules out, or asks for something first, so that nobody is hurt
    adds: Added = ()

    @property
    def topic(self) -> str:
        """The part of its id before the dot."""
        return self.id.split(".")[0]


class Claim(Entry):
    """What must be true of every floor; `audit` proves it or shows a floor that breaks it."""

    kind: Literal[
        "always",
        "in_sight",
        "answers",
        "not_outright",
        "one_answer",
        "one_standing",
        "no_bolder_unknown",
        "stays",
        "no_dead_rule",
        "no_implied_rule",
        "no_gap_or_overlap",
        "worn",
        "brought",
    ]
    says: Text
    judges: Literal["every finish"] | dict[str, Texts] | None = None
    when: dict[str, Texts] = Field(default={})
    then: Then = Field(default_factory=Then)
    step: str = ""  # of the work, with which the cautions in `then` stand
    in_full: YesNo = False  # whether even the shortest answer tells those cautions in full
    wear: Texts = ()  # materials that are worn where a step carries one of the cautions in `then`
    answer: Texts = ()
    fact: str = ""
    rises: YesNo = False
    order: tuple[str, ...] = ()
    keeps: Literal["rule_out", "refer", "hold", "caution"] = "rule_out"
    excepted: Texts = Field((), alias="except")
