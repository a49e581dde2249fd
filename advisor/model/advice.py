"""The answer as data: a documented, versioned schema, of which the printed advice is one rendering.

`advisor schema advice` publishes it as JSON Schema. A change that breaks a reader raises the number of `format`.
"""

from __future__ import annotations

from collections import Counter
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from advisor.model.rules import NeedKind, Severity
from explanations.trace import Trace
from explanations.wording import wording

AnswerKind = Literal["finish", "test first", "none yet", "ask first", "professional"]  # what says more comes first
Verdict = Literal["suits", "suits if", "ruled out"]  # on one finish


class Part(BaseModel):
    """Base of the parts of an answer as data: frozen, closed; what is printed always has every field."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", defer_build=True, json_schema_serialization_defaults_required=True
    )


class Published(Part):
    """What `--json` prints as a whole; the name and version of its form stand first."""

    format: str


class Reason(Part):
    """A rule that fired and the sentence it gives, with this case's numbers."""

    rule: str
    because: str


class Points(Reason):
    """Points that a rule awarded under a criterion; `weighted` counts them by the customer's importance."""

    criterion: str
    points: int
    weighted: int


class ToDo(Part):
    """Something to test or do first, and why."""

    need: str
    kind: NeedKind
    decides: bool = Field(description="The answer waits for it: its outcome can rule the finish out.")
    says: str
    reasons: tuple[Reason, ...]


class SheetNumber(Part):
    """One number of a maker's data sheet beside what is taken where the maker names none."""

    means: str
    given: str
    default: str


class BySheet(Part):
    """The maker's data sheet by which a finish is judged."""

    product: str
    like: str = Field(description="The finish of the rule base that it is a variant of.")
    numbers: tuple[SheetNumber, ...]


class FinishStanding(Part):
    """Where one finish stands on this floor."""

    finish: str
    name: str
    verdict: Verdict
    rank: int | None = Field(description="1 is best; none for a finish that is ruled out.")
    total: int = Field(description="Points, weighted.")
    ruled_out_by: tuple[Reason, ...]
    first: tuple[ToDo, ...]
    points: tuple[Points, ...]
    by_sheet: BySheet | None = Field(default=None, description="None where the defaults hold.")

    def behind_on(self, other: FinishStanding) -> list[str]:
        """The criteria by which the other has more points."""
        mine, theirs = Counter[str](), Counter[str]()
        for sums, standing in ((mine, self), (theirs, other)):
            for award in standing.points:
                sums[award.criterion] += award.weighted
        return sorted(name for name in theirs.keys() | mine.keys() if theirs[name] > mine[name])


class Hazard(Part):
    """A caution, and what raises it: the floor itself, finishes, or steps of the work with one."""

    caution: str
    title: str = Field(description="What to call it in a list.")
    severity: Severity
    step: str
    says: str
    floor: bool = Field(description="It holds whichever finish is chosen.")
    finishes: tuple[str, ...]
    reasons: tuple[Reason, ...]
    steps: tuple[str, ...] = Field(default=(), description="The steps of the work that carry it, by their titles.")
    in_full: bool = Field(
        default=True, description="The short answer tells it in full: it is special to this floor, and known to be."
    )
    hangs_on: tuple[str, ...] = Field(
        default=(), description="Unknown facts that would say whether it is there; empty once one of them is known."
    )


class WorkStep(Part):
    """A step of the work with the leading finish, and the hazards that it carries."""

    title: str
    certain: bool = Field(description="False: only needed if a fact, unknown yet, turns out so.")
    cautions: tuple[str, ...]


class Fit(Part):
    """Whether the leading finish fits the money and the days that were named, by its take-off and its plan."""

    finish: str
    currency: str
    cost: tuple[float, float] = Field(description="Lowest and highest, by whoever does the work.")
    days: tuple[float, float] = Field(description="Until one may walk on the floor.")
    money: Literal["enough", "open", "short", "not named"]
    time: Literal["enough", "open", "short", "not named"]
    says: tuple[str, ...] = Field(description="The figures in sentences.")
    but: str = Field(description="What the answer's first sentence must say with it; empty where it fits.")


class Weighed(Part):
    """A criterion that the customer said matters more or less than usual."""

    criterion: str
    importance: str
    alone: bool = Field(description="If it mattered as usual, all else as it is, another answer would be given.")
    otherwise: str | None = Field(description="The finish that would then be recommended or waited for.")


Does = Literal["stops", "holds", "waits", "excludes", "points", "conditions", "finds"]
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
        "one other fact."
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


class Referred(Part):
    """A professional to call, and what to tell them."""

    referral: str
    who: str
    stop: bool = Field(description="Comes before any finish.")
    beyond: bool = Field(default=False, description="No finish of the rule base is for such a floor.")
    leave: bool = Field(default=False, description="Everybody leaves at once; nothing else is looked at or done.")
    tell: str
    reasons: tuple[Reason, ...]


class Question(Part):
    """An unknown fact that could still change the answer."""

    fact: str
    ask: str
    find_out: str
    why: str
    rules: tuple[str, ...]


class Unused(Part):
    """Facts that were stated and that the answer does not rest on: a test out of date, or facts in contradiction."""

    facts: tuple[str, ...]
    says: str
    explanations: tuple[str, ...] = Field(description="What would explain it, likeliest first.")
    test: str = Field(description="What would decide.")


class Branch(Part):
    """What is advised if the fact asked for has one of these values."""

    values: str = Field(description="In words.")
    kind: AnswerKind
    finish: str | None = Field(description="The finish that would then be recommended or waited for.")
    sentence: str


class Asked(Part):
    """A question that holds the floor, and what each answer to it would lead to."""

    need: str
    fact: str
    branches: tuple[Branch, ...]


class AskedAbout(Part):
    """The finish that the customer has in mind: whether it can be had on this floor, and why."""

    finish: str
    name: str
    verdict: Literal["yes", "yes if", "not yet", "no"] = Field(
        description="Yes if: needs come first. Not yet: something comes before any finish. No: it is ruled out."
    )
    sentence: str
    reasons: tuple[Reason, ...] = Field(description="What rules it out, or what asks for what comes first.")


class Answer(Part):
    """The recommendation in one sentence, and what it hangs on."""

    kind: AnswerKind
    sentence: str
    waits_for: tuple[NeedKind, ...] = Field(
        default=(), description="The kind of each need that decides (`test first`) or holds the floor."
    )
    asks: tuple[Asked, ...] = Field(default=(), description="Where kind is `ask first`: the questions.")
    finish: str | None = Field(description="The recommended finish; none unless kind is `finish`.")
    leading: str | None = Field(description="The best-ranked finish, recommended or not.")
    runner_up: str | None
    fallback: str | None = Field(description="Best finish that waits for no test, where `leading` waits for one.")
    tied: tuple[str, ...] = Field(description="Other finishes with the same points as `leading`.")
    asked: AskedAbout | None = Field(default=None, description="Where the customer asked about a finish: said first.")


class Turning(Part):
    """Answers to one open fact and the recommendation that they lead to."""

    fact: str
    values: str
    share: float = Field(description="How often such an answer is met on floors like this one, by the likelihoods.")
    kind: AnswerKind
    finish: str | None = Field(description="The finish that would then be recommended or waited for.")
    says: str


class Certainty(Part):
    """How settled the recommendation is: the one statement of it, for every page."""

    state: Literal["certain", "settled", "but for one", "open"] = Field(
        description="Certain: proved. Settled: hardly anything that is open turns it. But for one: hardly anything but "
        "`fact` does. Open: several facts do."
    )
    says: str
    share: float = Field(description="Of floors like this one, those whose answer is another once all is known.")
    fact: str = Field(default="", description="But for one: the fact, with what is only asked after it.")
    turns: tuple[Turning, ...] = Field(
        default=(),
        description="But for one: what each likely answer to `fact` leads to. Open: likely answers that turn it alone.",
    )

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to ask for the choice of the finish."""
        return self.state in ("certain", "settled")


class WentWrong(Part):
    """What went wrong with the floor, in short; `causes` tells the whole."""

    sentence: str
    likely: tuple[str, ...] = Field(description="The causes that fit best.")
    look: str = Field(description="The look that tells them apart best; empty where none does.")
    outcomes: tuple[str, ...] = Field(description="What each answer to it would mean.")
    dangers: tuple[str, ...] = Field(description="Causes that would hurt somebody if they were missed.")
    in_sight: str = Field(description="Those causes by name, in a sentence; empty where there are none.")
    not_now: tuple[str, ...]


class SourceUse(Part):
    """A source that fired rules or stated values rest on."""

    source: str
    kind: str
    title: str
    edition: str
    seen: str
    rules: tuple[str, ...]


class OverlayMark(Part):
    """A folder that was laid over the shipped rule base; entries as `section id`."""

    name: str
    version: str
    added: tuple[str, ...]
    replaced: tuple[str, ...]
    safety: tuple[str, ...] = Field(default=(), description="What it changes in matters of safety, in sentences.")


class RuleBaseMark(Part):
    """Which rule base answered."""

    version: str
    fingerprint: str
    rules: int
    overlays: tuple[OverlayMark, ...] = Field(default=(), description="In the order in which they were laid.")
    products: tuple[str, ...] = Field(default=(), description="The products whose makers' data sheets were read.")

    @property
    def safety(self) -> tuple[str, ...]:
        """What is changed in matters of safety by all that was laid over, in sentences; every page tells it."""
        return tuple(told for each in self.overlays for told in each.safety)


class Advice(Published):
    """The whole answer for one floor."""

    format: Literal["slab-finish-advice/3"] = "slab-finish-advice/3"
    floor: str
    note: str
    date: str
    rule_base: RuleBaseMark
    answer: Answer
    set_aside: tuple[Unused, ...] = Field(description="Taken as unknown, though stated.")
    stops: tuple[Referred, ...]
    holds: tuple[ToDo, ...]
    hazards: tuple[Hazard, ...]
    referrals: tuple[Referred, ...] = Field(description="Professionals who do not come before the finish.")
    standings: tuple[FinishStanding, ...]
    steps: tuple[WorkStep, ...] = Field(default=(), description="Of the leading finish, in order.")
    weighed: tuple[Weighed, ...] = Field(default=(), description="What matters more or less than usual, as stated.")
    tie_broken_by: TieBreak = Field(description="Where the first two have the same points.")
    bearing: tuple[Bearing, ...] = Field(
        description="The rules on which the answer hangs, as they are told; each was left out, to see."
    )
    turns_alone: tuple[FactBearing, ...] = Field(
        default=(), description="Every fact that turns the answer alone; empty where that was not looked for."
    )
    leads_unweighed: str | None = Field(default=None, description="What would lead if all mattered alike.")
    fit: Fit | None = Field(default=None, description="None where it was not looked into, or no area is known.")
    ask_next: tuple[Question, ...] = Field(default=(), description="What could still change it, most important first.")
    certainty: Certainty | None = Field(default=None, description="None where it was not looked into.")
    went_wrong: WentWrong | None = Field(default=None, description="None where nothing did, or it was not looked into.")
    sources: tuple[SourceUse, ...]
    rests_on: str = Field(description="How many rules of which kind of source the answer rests on.")
    deference: str = Field(default_factory=lambda: wording("answer.deference"))
    trace: Trace

    @property
    def opening(self) -> str:
        """The answer in its first sentence: with it, what it does not fit of the money and the days that were named."""
        but = self.fit.but if self.fit and self.answer.kind in ("finish", "test first") else ""
        return wording("answer.but", answer=self.answer.sentence.rstrip("."), but=but) if but else self.answer.sentence

    @property
    def leading(self) -> FinishStanding | None:
        """The standing of the best-ranked finish, if any is left."""
        return self.standing(self.answer.leading)

    def standing(self, finish: str | None) -> FinishStanding | None:
        """Where a finish stands; none without one."""
        return next((each for each in self.standings if each.finish == finish), None)

    @property
    def concerning(self) -> tuple[Hazard, ...]:
        """The hazards of this floor, of the leading finish, and of the one that the customer asked about."""
        about = {self.answer.leading} | ({self.answer.asked.finish} if self.answer.asked else set())
        return tuple(each for each in self.hazards if each.floor or about & set(each.finishes))
