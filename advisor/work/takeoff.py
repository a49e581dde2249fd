"""What every estimate starts from: a floor with its advice, its extent, a price book, and a reader."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from advisor.answer.judging import Judge, judge_of
from advisor.answer.step_cautions import step_cautions
from advisor.asking.advice import advise, with_certainty
from advisor.asking.certainty import certainty
from advisor.asking.outlook import Outlook
from advisor.engines.reasoning import Reasoner
from advisor.errors import Fault
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice
from advisor.model.entry import NONNEGATIVE
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity
from advisor.model.reader import SYSTEMS, Reader, System, reading_of
from advisor.model.rules import SEVERITIES
from advisor.model.standing import FinishStanding
from advisor.model.values import Value
from advisor.physics.bounds import Interval
from advisor.rulebase.bibliography import citations, shares, strongest
from advisor.rulebase.rule_values import finishes_called
from advisor.sent import File
from advisor.work.book_reading import demo_book, read_pricebook
from advisor.work.extent import BadJob, Extent, measure
from advisor.work.job import Job, find_procedure
from advisor.work.pricebook import PriceBook
from advisor.work.settle import settle_job
from explanations.reading import Reading, measuring
from explanations.wording import wording
from explanations.words import sentence


@dataclass(frozen=True)
class TakeOff:
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
    judge: Judge
    people: int | None = None
    own_prices: bool = True  # else the shipped book's, which are invented
    reading: Reading | None = None

    def fully_advised(self) -> TakeOff:
        """The same, with how settled the advice is."""
        if self.advice.certainty:
            return self
        with measuring(self.reading):
            settled = certainty(Outlook(self.judge, self.facts))
        return replace(self, advice=with_certainty(self.advice, settled))

    @cached_property
    def extent(self) -> Extent:
        """How much floor: of the rooms, else of the case's area.

        Raises:
            BadJob: neither is known.
        """
        return measure(self.rooms, self.slope, self.facts, self.base)

    @property
    def budget(self) -> Interval | None:
        """The money named, in the price book's currency; None where none was, or nobody knows what that is worth.

        What was named in that currency counts as it was named; other money by the rough rates.
        """
        named, reading = self.facts["budget"], self.reading or Reading("us")
        if not named.known or named.interval is None or reading.currency != self.book.currency:
            return None
        return self._named_so or Interval(named.interval.low / reading.worth, named.interval.high / reading.worth)

    @property
    def _named_so(self) -> Interval | None:
        """The money named, as it was named in the reader's own currency; None where it was named in another."""
        named, reading = self.facts["budget"], self.reading or Reading("us")
        if not named.rate:  # dollars
            return named.interval if reading.currency == "USD" else None
        names = next((each.names for each in self.base.currencies.values() if reading.currency in each.names), ())
        said = self.case.stated.get("budget")
        try:
            rates = dict.fromkeys(names, Interval(1.0, 1.0))
            return read_quantity(said.text or "", "usd", NONNEGATIVE, rates=rates) if said else None
        except NotAQuantity:
            return None  # told in a third currency

    @property
    def budget_words(self) -> str:
        """The money named as it reads beside costs: of other money what was said, and about what that comes to."""
        named = self.budget
        if named is None:
            return self.facts["budget"].shown
        money = self.reader.money(round(named.low), round(named.high))
        stated = self.case.stated.get("budget")
        if stated is None or self._named_so:
            return money
        return wording("fit.named", said=stated.text, money=money)

    @property
    def hired(self) -> bool:
        """Whether the case says that a crew does it."""
        return self.facts["who_works"].choice == "hired"

    def job(self, finish: str, hired: bool | None = None) -> Job:
        """The job of one finish; as the case says who works, or as asked."""
        by_crew = self.hired if hired is None else hired
        people = self.people if by_crew == self.hired else None
        first = [each.need for each in (*self.advice.holds, *self.standing(finish).first)]
        return settle_job(self.base, self.facts, finish, self.extent, by_crew, people, first)

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
            called = finishes_called(self.base, named)
            finish, _ = find_procedure(self.base, called[0] if len(called) == 1 else named)
            return finish.id
        if self.advice.answer.leading is None:
            raise BadJob([Fault(self.case.floor, wording("job.none_suits"), remedy=wording("job.name_one"))])
        return self.advice.answer.leading


def begin(
    reasoner: Reasoner,
    case: Case,
    today: date,
    rooms: Iterable[str] = (),
    slope: str = "0 %",
    prices: File | None = None,
    people: int | None = None,
    system: System | None = None,
    advice: Advice | None = None,
) -> TakeOff:
    """Reason about a floor, measure it and open the price book.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        today: the date on the page; prices may not be dated later.
        rooms: texts such as `20 ft x 22 ft`, in place of the case's area and rooms.
        slope: of the floor, such as `2 %`.
        prices: the shop's own price book; else the shipped one, which is invented.
        people: how many work; else as the case says.
        system: the reader's units; else those of the country where the floor is.
        advice: where the floor was reasoned about already.

    Raises:
        BadJob, BadPriceBook: naming what is wrong.
    """
    base = reasoner.base
    if people is not None and not 1 <= people <= 100:
        raise BadJob([Fault("--people", wording("job.nobody", n=people), wording("job.people"))])
    facts = working_memory(base, case.facts)
    country = facts["country"].choice
    book = read_pricebook(prices or demo_book(), base, today).used_in(country)
    reading = reading_of(base, facts, system, book.currency if prices else "")
    if prices:
        book = _completed(book, read_pricebook(demo_book(), base, today).used_in(country), reading)
    elif reading:  # what is invented may be told in any money
        book = book.told_in(reading.currency, reading.worth)
    reader = Reader(system or SYSTEMS.get(country, "si"), book.currency)
    with measuring(reading):
        advice = advice or advise(reasoner, case, today, facts)
    judge, own = judge_of(reasoner), prices is not None
    study = TakeOff(
        base, advice, case, facts, tuple(rooms) or case.rooms, slope, book, reader, today, judge, people, own, reading
    )
    if study.rooms or facts["area"].known:
        _ = study.extent  # what is wrong with it is told now; a letter that stops the work needs no size
    return study


def book_for_many(base: RuleBase, today: date, prices: File | None = None) -> PriceBook:
    """The prices for floors of any country, all in the book's own money.

    Args:
        base: for what rows may serve, and what currencies are worth.
        today: prices may not be dated later.
        prices: the shop's own price book; else the shipped one, which is invented.

    Raises:
        BadPriceBook: with every fault found.
    """
    shipped = read_pricebook(demo_book(), base, today)
    if prices is None:
        return shipped
    own = read_pricebook(prices, base, today)
    return _completed(own, shipped, reading_of(base, {}, currency=own.currency))


def _completed(own: PriceBook, shipped: PriceBook, reading: Reading | None) -> PriceBook:
    """A shop's book with what it lacks from the shipped one; as it is where nobody knows what its money is worth."""
    if reading is None or reading.currency != own.currency:
        return own
    return own.filled_from(shipped.told_in(reading.currency, reading.worth))


@dataclass(frozen=True)
class Danger:
    """A caution that holds for the work: its id, what to call it, how grave it is, and what it says."""

    name: str
    title: str
    severity: str
    says: str


def hazards_of(study: TakeOff, finish: str) -> list[Danger]:
    """Every hazard of the floor, of the finish, and of the steps that make it; gravest first."""
    shown: dict[str, Danger] = {}
    for hazard in study.advice.hazards:
        if hazard.floor or finish in hazard.finishes:
            shown[hazard.caution] = Danger(hazard.caution, hazard.title, hazard.severity, hazard.says)
    for name in step_cautions(study.base, study.facts, finish):  # the advice has no steps of a finish ruled out
        caution = study.base.cautions[name]
        shown.setdefault(name, Danger(name, caution.named(name), caution.severity, sentence(caution.says)))
    return sorted(shown.values(), key=lambda each: SEVERITIES.index(each.severity))


def values_rest_on(study: TakeOff, finish: str) -> str:
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
