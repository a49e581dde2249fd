"""What every page of estimates starts from: a floor with its advice, its extent, a price book, and a reader."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path

from advisor.answer.advice import Advice, FinishStanding
from advisor.answer.advising import SEVERITY, advise
from advisor.answer.steps import step_cautions
from advisor.errors import Fault
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.facts.values import Value
from advisor.inference.reasoning import Reasoner
from advisor.pages.blocks import Block, Heading, Listing, Notice, Paragraph
from advisor.rulebase.bibliography import citations, shares, strongest
from advisor.rulebase.knowledge import RuleBase
from advisor.takeoff.job import BadJob, Extent, Job, find_procedure, measure, settle_job
from advisor.takeoff.pricebook import PriceBook, demo_book, read_pricebook
from advisor.takeoff.words import SYSTEMS, Reader, System, days_words
from explanations.words import listing, sentence

TOLD = "Told in full, with what to do, by: advisor plan, and in the letter."


@dataclass(frozen=True)
class Study:
    """A floor, looked at for what a finish on it takes."""

    base: RuleBase
    advice: Advice
    case: Case
    facts: Mapping[str, Value]  # the case's, and what follows from them
    rooms: tuple[str, ...]
    slope: str
    book: PriceBook
    reader: Reader
    today: date
    people: int | None = None

    @cached_property
    def extent(self) -> Extent:
        """How much floor: of the rooms, else of the case's area.

        Raises:
            BadJob: neither is known.
        """
        return measure(self.rooms, self.slope, self.facts, self.base)

    @property
    def hired(self) -> bool:
        """Whether the case says that a crew does it."""
        return self.facts["who_works"].choice == "hired"

    def job(self, finish: str, hired: bool | None = None) -> Job:
        """The job of one finish; as the case says who works, or as asked."""
        by_crew = self.hired if hired is None else hired
        people = self.people if by_crew == self.hired else None
        return settle_job(self.base, self.facts, finish, self.extent, by_crew, people)

    def standing(self, finish: str) -> FinishStanding:
        """Where a finish stands on this floor."""
        find_procedure(self.base, finish)
        return next(each for each in self.advice.standings if each.finish == finish)

    def chosen(self, named: str | None) -> str:
        """The finish asked about, else the one that leads.

        Raises:
            BadJob: none was named and none is left.
        """
        if named is not None:
            find_procedure(self.base, named)
            return named
        if self.advice.answer.leading is None:
            remedy = "Name one to see what it would take: advisor compare CASE"
            raise BadJob([Fault(self.case.floor, "no finish suits this floor as described", remedy=remedy)])
        return self.advice.answer.leading


def begin(
    reasoner: Reasoner,
    case: Case,
    today: date,
    rooms: Iterable[str] = (),
    slope: str = "0 %",
    prices: Path | None = None,
    people: int | None = None,
    system: System | None = None,
) -> Study:
    """Reason about a floor, measure it and open the price book.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        today: the date on the page; prices may not be dated later.
        rooms: texts such as `20 ft x 22 ft`, in place of the case's area.
        slope: of the floor, such as `2 %`.
        prices: the shop's own price book; else the shipped one, which is invented.
        people: how many work; else as the case says.
        system: the reader's units; else those of the country where the floor is.

    Raises:
        BadJob, BadPriceBook: naming what is wrong.
    """
    base = reasoner.base
    if people is not None and not 1 <= people <= 100:
        raise BadJob([Fault("--people", f"{people} people cannot do it", "1 to 100")])
    facts = working_memory(base, case.facts)
    country = facts["country"].choice
    book = read_pricebook(prices or demo_book(), base, today).used_in(country)
    reader = Reader(system or SYSTEMS.get(country, "si"), book.currency)
    advice = advise(reasoner, case, today)
    study = Study(base, advice, case, facts, tuple(rooms), slope, book, reader, today, people)
    if study.rooms or facts["area"].known:
        _ = study.extent  # what is wrong with it is told now; a letter that stops the work needs no size
    return study


def heads(study: Study, title: str, finish: str | None, waits: bool = True) -> Iterator[Block]:
    """What stands above every page: the title, and first of all what comes before any finish, and this one."""
    yield Heading(title, 1)
    yield from stops(study)
    if finish:
        standing = study.standing(finish)
        if standing.verdict == "ruled out":
            reasons = tuple(each.because for each in standing.ruled_out_by)
            yield Notice(f"{sentence(standing.name)[:-1]} is ruled out on this floor", reasons)
        elif waits and not study.advice.stops and (tests := [each.says for each in standing.first if each.decides]):
            yield Notice("Test before you buy anything", tuple(tests))


def stops(study: Study) -> Iterator[Block]:
    """Professionals to call first, and what holds the floor; at full weight."""
    advice = study.advice
    if advice.stops:
        items = tuple(f"Call {stop.who}. {stop.reasons[0].because} {stop.tell}" for stop in advice.stops)
        yield Notice("Stop: call a professional first. These figures are only for thinking ahead.", items)
    if advice.holds:
        yield Notice(
            "No finish before this is done", tuple(f"{hold.says} {hold.reasons[0].because}" for hold in advice.holds)
        )


def too_long(study: Study, shut: tuple[float, float]) -> str:
    """What to say where the days until one may walk on the floor may be more than it can be shut; else nothing."""
    allowed = study.facts["days_shut"]
    if not allowed.known or allowed.interval is None or shut[1] <= allowed.interval.low:
        return ""
    surely = shut[0] > allowed.interval.high
    takes = f"takes {days_words(*shut)}" if surely else f"may take up to {math.ceil(shut[1] * 2) / 2:g} days"
    return f"You have {allowed.shown}; until the floor may be walked on, this {takes}."


def floor_hazards(study: Study) -> Iterator[Block]:
    """Where no work is planned yet: every hazard of the floor itself."""
    items = tuple(f"{each.severity.upper()}: {each.says}" for each in study.advice.hazards if each.floor)
    if items:
        yield Notice("Hazards", items)


@dataclass(frozen=True)
class Danger:
    """A caution that holds for the work: its id, what to call it, how grave it is, and what it says."""

    name: str
    title: str
    severity: str
    says: str


def hazards_of(study: Study, finish: str) -> list[Danger]:
    """Every hazard of the floor, of the finish, and of the steps that make it; gravest first."""
    shown: dict[str, Danger] = {}
    for hazard in study.advice.hazards:
        if hazard.floor or finish in hazard.finishes:
            shown[hazard.caution] = Danger(hazard.caution, hazard.title, hazard.severity, hazard.says)
    for name in step_cautions(study.base, study.facts, finish):  # the advice has no steps of a finish ruled out
        caution = study.base.cautions[name]
        shown.setdefault(name, Danger(name, caution.named(name), caution.severity, sentence(caution.says)))
    return sorted(shown.values(), key=lambda each: SEVERITY.index(each.severity))


def hazard_notice(study: Study, finish: str) -> Notice:
    """All hazards of the work, each in full."""
    items = tuple(f"{each.severity.upper()}: {each.says}" for each in hazards_of(study, finish))
    return Notice("Hazards of this work", (*items, study.advice.deference))


def danger_words(hazards: Iterable[Danger], left_out: Collection[str] = ()) -> str:
    """Hazards by name, where there is no room for more."""
    by_severity: dict[str, list[str]] = {}
    for each in hazards:
        if each.name not in left_out:
            by_severity.setdefault(each.severity, []).append(each.title)
    return "; ".join(f"{severity.upper()}: {', '.join(names)}" for severity, names in by_severity.items()) or "none"


def values_rest_on(study: Study, finish: str) -> str:
    """How many of a procedure's values rest on which kind of source, in words."""
    base = study.base
    _, procedure = find_procedure(base, finish)
    used = {("tasks", step.do) for step in procedure.steps} | {("tasks", each.do) for each in procedure.upkeep}
    used |= {("procedures", name) for name, each in base.procedures.items() if each is procedure}
    used |= {("norms", name) for name in base.norms}
    named: dict[tuple[str, ...], list[str]] = {}
    for each in citations(base):
        if (each.section, each.entry) in used:
            named.setdefault((each.section, each.entry, *each.part), []).append(each.source)
    return shares(Counter(strongest(base, sources) for sources in named.values()))


def footing(study: Study, finish: str | None = None) -> Iterator[Block]:
    """Prices, tax, age of prices, what a finish's figures rest on, deference, date and rule base."""
    book, advice = study.book, study.advice
    years = study.base.norms["price_age"].interval.low
    old = book.older_than(years, study.today)
    yield Heading("About these figures")
    lines = [f"Prices: {book.name}, in {book.currency}. {book.tax_words()}"]
    if book.note:
        lines.append(book.note)
    if old:
        named = listing([f"{each.item} ({each.dated})" for each in old[:5]] + (["others"] if len(old) > 5 else []))
        lines.append(f"Prices older than {years:g} year: {named}. Ask for today's.")
    if finish:
        lines.append(f"Steps, amounts, hours and waits rest on {values_rest_on(study, finish)}.")
    mark = advice.rule_base
    overlays = "".join(f", with {each.name}" for each in mark.overlays)
    lines.append(f"{advice.date}, rule base {mark.version} ({mark.fingerprint}){overlays}.")
    yield Listing(tuple(lines))
    yield Paragraph(advice.deference, strong=True)
