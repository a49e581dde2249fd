"""What the rule base holds: one model for each section of the files under `rules/`.

Plain, frozen data. `rulebase` reads it, `grounding` turns it into rules without variables; nothing here reasons.
"""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import AliasChoices, Field, model_validator

from advisor.model.entry import UNKNOWN as UNKNOWN
from advisor.model.entry import Added, Sources, Text, Texts, YesNo, reads
from advisor.model.entry import Entry as Entry
from advisor.model.procedures import ComesFirst, Demand, Hire, Material, Norm, Procedure, Spots, Task
from advisor.model.quantities import Several
from advisor.physics.bounds import Interval
from explanations.wording import label

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
    several: Several = "span"  # what counts of several readings, as `78, 80, 84 %`
    valid: Validity | None = None  # missing: what was found once does not age
    implied_by: dict[str, dict[str, str]] = Field(default={})  # by other fact, and its value: the value implied
    unknown_means: str = ""  # the yes/no fact "sought, and not to be had"; `unknown` said of this one sets it
    adds: Added = ()
    plausible: Interval = Interval(0.0, 0.0)  # `range`, read


class Property(Quality):
    """A property that every finish must state."""

    range: str = ""  # what a number can plausibly be; missing: any number
    unlimited: YesNo = False  # whether a finish may say `none`: no limit at all
    means: Text


class PropertyValue(Entry):
    """A finish's value for a property: an interval, a set of choices, or no limit at all."""

    given: str | tuple[str, ...] = Field(alias="is")
    source: Sources
    interval: Interval | None = None
    choices: tuple[str, ...] = ()


class Finish(Entry):
    """A generic family of finish, with its properties."""

    id: str
    name: Text
    family: str
    what: Text
    order: int
    properties: dict[str, PropertyValue] = Field(default={})

    @property
    def window(self) -> Interval | None:
        """Temperatures [degC] of air and slab at which it may go on and cure; None where it sets no limit."""
        lowest, highest = (self.properties[f"{end}_temperature"].interval for end in ("lowest", "highest"))
        return Interval(lowest.high, highest.low) if lowest and highest else None


class Limit(Entry):
    """A named number that conditions compare with; or the age of what is from the end of a year (see `years`)."""

    given: str = Field("", alias="is")
    end_of: Annotated[str, Field(pattern=r"^([0-9]{4})?$")] = ""  # in place of `is`: the calendar year
    means: Text
    source: Sources

    @model_validator(mode="after")
    def _one_of_them(self) -> Limit:
        if bool(self.given) == bool(self.end_of):
            raise ValueError("a limit says either `is` or `end_of`")
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
    source: Sources
    adds: Added = ()

    def named(self, name: str) -> str:
        """What to call it in a list: its title, or else its id in words."""
        return self.title or label("caution", name)


class Referral(Entry):
    """A professional to call, for which sign, and what to tell them."""

    who: Text
    stop: YesNo
    tell: Text
    source: Sources
    untouched: Texts = ()  # facts that nobody may change before they have been
    adds: Added = ()


class Criterion(Entry):
    """What points are awarded under, and the fact that says how much it matters to the customer (empty: as usual)."""

    name: Text
    importance: str


class Source(Entry):
    """Where a value or rule comes from."""

    kind: Literal[
        "regulation",
        "standard",
        "data_sheet",
        "handbook",
        "paper",
        "trade_publication",
        "common_practice",
        "from_memory",
    ]
    title: Text
    edition: str = ""
    seen: Literal["quoted", "from memory", ""] = ""


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


CauseFamily = Literal["moisture", "concrete", "residue", "work", "use", "movement"]


class Remedy(Entry):
    """What to do about a cause."""

    take_off: Text  # what must come off, and what can stay
    mend: Text  # what to put right first
    spot: Text  # when a repair of the spot holds, and when not
    call: Text = ""  # whom
    fails_again: dict[str, Texts] = Field(default={})  # properties of the finishes that would fail the same way
    not_now: Texts = ()  # of the section `not_now`


class Cause(Entry):
    """What can have gone wrong with a floor, what it looks like, and what helps.

    `fits`, `may_fit`, `against` and `excluded` give, by fact, the values that speak for it, weakly for it and against
    it, and those with which it cannot be. They become its properties (`rulebase.causes`), by which rules judge it.
    """

    name: Text
    family: CauseFamily
    what: Text
    usual: Literal["often", "sometimes", "seldom"]
    danger: str = ""  # who may be hurt if it is missed; while it is possible it is shown
    fits: dict[str, Texts]
    may_fit: dict[str, Texts] = Field(default={})
    against: dict[str, Texts] = Field(default={})
    excluded: dict[str, Texts] = Field(default={})
    remedy: Remedy
    source: Sources


class NotNow(Entry):
    """What would do harm before the cause is known or put right."""

    says: Text
    source: Sources


class Sign(Entry):
    """How another fact and the complaints tell each other: `coating_peeled: yes` is peeling; blisters are that too."""

    comes_to: dict[str, str]  # by value of the fact: the complaint that it is
    told_by: dict[str, str] = Field(default={})  # by complaint: the value of the fact that then holds
    told_in_advice: YesNo = False  # whether the advice on a finish speaks of it
    source: Sources


class Overlay(Entry):
    """A folder laid over the shipped rule base, and what it added and replaced, each as `section id`."""

    name: str
    version: str
    added: tuple[str, ...]
    replaced: tuple[str, ...]
    safety: tuple[str, ...] = ()  # what it changes in matters of safety, in sentences


class Claim(Entry):
    """What must be true of every floor; `audit` proves it or shows a floor that breaks it."""

    kind: Literal[
        "always",
        "answers",
        "not_outright",
        "one_answer",
        "one_standing",
        "no_bolder_unknown",
        "stays",
        "no_dead_rule",
        "no_implied_rule",
        "no_gap_or_overlap",
    ]
    says: Text
    judges: Literal["every finish"] | dict[str, Texts] | None = None
    when: dict[str, Texts] = Field(default={})
    then: Then = Field(default_factory=Then)
    step: str = ""  # of the work, with which the cautions in `then` stand
    in_full: YesNo = False  # whether even the shortest answer tells those cautions in full
    answer: Texts = ()
    fact: str = ""
    rises: YesNo = False
    order: tuple[str, ...] = ()
    keeps: Literal["rule_out", "refer", "hold", "caution"] = "rule_out"
    excepted: Texts = Field((), alias="except")


class ExposureLimit(Entry):
    """A published limit of what may be breathed, averaged over so long; 0 h is a ceiling."""

    name: Text
    given: str = Field(alias="is")
    averaged: str
    source: Sources


class Substance(Entry):
    """What can be in the air of a room while working."""

    name: Text
    molar_mass: str = ""
    density: str = ""
    lower_explosive: str = ""
    cautions: Texts = ()  # shown wherever it is in the air
    source: Sources
    limits: tuple[ExposureLimit, ...] = ()


class Currency(Entry):
    """What one of a currency is worth in US dollars, roughly, and when it was; and how people write it."""

    names: Texts
    worth: Annotated[Interval, reads("usd")]
    of: Text
    country: str = ""  # whose readers count in it
    source: Sources


class SheetEntry(Quality):
    """A number or choice that a maker's data sheet may state, and what of the finish or of its making it stands for."""

    means: Text
    range: str = ""  # what a sheet can plausibly say
    also: Texts = ()  # what else sheets call it
    example: str
    sets: Annotated[str, Field(pattern=r"^(finish|use|task|ready|procedure)\.[a-z_]+$")]
    moves: Texts = ()  # properties of the finish, in days or as a thickness, that change by as much
    end: Literal["low", "high", ""] = ""  # of a limit told as `up to 85 %` or `at least 10 C`: the end that counts
    guards: YesNo = False  # behind a safeguard: the default's upper end still counts where it is higher
    instead_of: Texts = ()  # limits that count only where the maker names no number
    brings: dict[str, str] = Field(default={})  # by value: the caution that goes with it into every step
    plausible: Interval = Interval(0.0, 0.0)  # `range`, read

    @property
    def timed(self) -> bool:
        """Whether it holds at a temperature."""
        return self.sets.startswith(("task.", "ready."))


class MakersNumber(Entry):
    """One number of a maker's sheet beside what is taken where the maker names none."""

    entry: str
    property: str = ""  # of the finish, if it is one
    given: str
    default: str


class Product(Entry):
    """A finish by the data sheet of one product: which finish it is like, and what the maker's sheet says."""

    finish: str
    like: str
    name: str
    source: str
    numbers: tuple[MakersNumber, ...]
    without: tuple[str, ...] = ()  # limits that are for makers who name no number


class Picked(Entry):
    """A likely answer to an opening question: the facts that it sets, as a case would state them."""

    says: Text
    also: Texts = ()
    sets: dict[str, str]
    leaves: Texts = ()  # facts of the question's `rest` that it leaves open
    hint: str = ""  # said at the end to whoever picked it


class Opening(Entry):
    """A question with which an interview opens; it may set several facts."""

    ask: Text
    why: Text
    find_out: str = ""
    answers: tuple[Picked, ...] = ()
    several: YesNo = False
    rest: dict[str, str] = Field(default={})  # of each fact that none of several answers picked sets
    facts: Texts = ()  # told freely, one piece each
    fact: str = ""  # whose values are the answers
    or_fact: str = ""  # an answer that is none of these may be said of this fact
    example: str = ""
    when: dict[str, Texts] = Field(default={})
    always: YesNo = False  # asked unless its facts are known, even if it is not expected to settle anything

    @property
    def settles(self) -> tuple[str, ...]:
        """The facts that it can set."""
        picked = (name for each in self.answers for name in each.sets)
        return tuple(dict.fromkeys((*picked, *self.rest, *self.facts, *([self.fact] if self.fact else ()))))


class RuleBase(Entry):
    """All sections, merged, each by id; and the fingerprint of the files it came from.

    A section added here is read from any file under its name.
    """

    facts: dict[str, FactKind] = Field(default={})
    properties: dict[str, Property] = Field(default={})
    finishes: dict[str, Finish] = Field(default={})
    limits: dict[str, Limit] = Field(default={})
    findings: dict[str, Finding] = Field(default={})
    needs: dict[str, Need] = Field(default={})
    cautions: dict[str, Caution] = Field(default={})
    referrals: dict[str, Referral] = Field(default={})
    criteria: dict[str, Criterion] = Field(default={})
    importance: dict[str, int] = Field(default={})
    contradictions: dict[str, Contradiction] = Field(default={})
    claims: dict[str, Claim] = Field(default={})
    changes: dict[str, Change] = Field(default={})
    efforts: dict[str, Effort] = Field(default={})
    priors: dict[str, Prior] = Field(default={})
    conversation: dict[str, Opening] = Field(default={})
    materials: dict[str, Material] = Field(default={})
    hire: dict[str, Hire] = Field(default={})
    demands: dict[str, Demand] = Field(default={})
    norms: dict[str, Norm] = Field(default={})
    comes_first: dict[str, ComesFirst] = Field(default={})
    spots: dict[str, Spots] = Field(default={})
    tasks: dict[str, Task] = Field(default={})
    procedures: dict[str, Procedure] = Field(default={})
    substances: dict[str, Substance] = Field(default={})
    currencies: dict[str, Currency] = Field(default={})
    sheet: dict[str, SheetEntry] = Field(default={})
    causes: dict[str, Cause] = Field(default={})
    signs: dict[str, Sign] = Field(default={})
    not_now: dict[str, NotNow] = Field(default={})
    sources: dict[str, Source] = Field(default={})
    rules: dict[str, Rule] = Field(default={})
    cause_rules: dict[str, Rule] = Field(default={})  # judge causes, by the same language; see `rulebase.causes`
    cause_claims: dict[str, Claim] = Field(default={})
    fingerprint: str = ""
    version: str = ""
    overlays: tuple[Overlay, ...] = ()
    products: tuple[Product, ...] = ()

    def product(self, finish: str) -> Product | None:
        """The product by whose data sheet a finish is; None for one of the rule base's own."""
        return next((each for each in self.products if each.finish == finish), None)
