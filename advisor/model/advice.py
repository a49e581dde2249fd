"""The answer as data: a documented, versioned schema, of which the printed advice is one rendering.

`advisor schema advice` publishes it as JSON Schema. A change that breaks a reader raises the number of `format`.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.model.bearing import Bearing, FactBearing, TieBreak, Weighed
from advisor.model.published import Part, Published
from advisor.model.rules import NeedKind
from advisor.model.standing import AnswerKind, FinishStanding, Hazard, Reason, ToDo, WorkStep
from explanations.trace import Trace
from explanations.wording import wording


class Fit(Part):
    """Whether the leading finish fits the money and the days that were named, by its take-off and its plan."""

    finish: str
    currency: str
    cost: tuple[float, float] = Field(description="Lowest and highest, by whoever does the work.")
    days: tuple[float, float] = Field(description="Until one may walk on the floor.")
    money: Literal["enough", "open", "short", "not named"]
    time: Literal["enough", "open", "short", "not named"]
    says: tuple[str, ...] = Field(description="The figures in sentences.")
    beside_it: tuple[str, str] = Field(description="Cost and days, without what the answer's first sentence says.")
    but: str = Field(description="What the answer's first sentence must say with it; empty where it fits.")


class Referred(Part):
    """A professional to call, and what to tell them."""

    referral: str
    who: str
    brief: str = Field(default="", description="The same, where room is shortest.")
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
    branches: tuple[Branch, ...] = ()


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
    look_at: str = Field(description="The fact that it finds; empty where there is none.")
    outcomes: tuple[str, ...] = Field(description="What each answer to it would mean.")
    dangers: tuple[str, ...] = Field(description="Causes that would hurt somebody if they were missed.")
    in_sight: str = Field(description="Those causes by name, in a sentence; empty where there are none.")
    in_sight_briefly: str = Field(default="", description="The same in few words, where room is shortest.")
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
    leads_by: tuple[Bearing, ...] = Field(
        default=(), description="Where something stops or holds the floor: the rules by which the leading finish leads."
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
