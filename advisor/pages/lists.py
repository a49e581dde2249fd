"""Pages of what to buy and what it costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.model.reader import Reader
from advisor.pages.blocks import Block, Heading, Listing, Notice, Page, Paragraph, Picture, Table
from advisor.pages.parts import TOLD, danger_words, footing, heads
from advisor.work.cost import GOODS_AND_HIRE, PARTS, Cost, Line, Swing, cost, cost_range, shopping, swings
from advisor.work.job import Job
from advisor.work.life import MIDDLE, break_even, life_cost
from advisor.work.needed import LOW, at_work, materials_needed
from advisor.work.takeoff import TakeOff, hazards_of
from explanations.words import counted, sentence

PART_WORDS = {
    "material": "Materials in the floor",
    "consumables": "Used up in the work",
    "protection": "Worn at work",
    "hire": "Hire",
    "labour": "Labour",
}
HORIZONS = (10, 20)
DATA_SHEET_DECIDES = (
    "The safety data sheet of each product decides what is worn with it, and which cartridges; where it asks for "
    "more, or the dust law of the place does, get that. Masks must fit the face, which a beard prevents."
)


def materials_page(study: TakeOff, finish: str) -> Page:
    """What to buy and hire for a finish, in whole packs, with what is left over."""
    return Page(f"What to buy: {study.base.finishes[finish].name}", tuple(_materials(study, finish)))


def _materials(study: TakeOff, finish: str) -> Iterator[Block]:
    job = study.job(finish)
    yield from heads(study, f"What to buy: {job.finish.name}", finish)
    yield in_short(study, finish)
    yield Paragraph(f"{sentence(job.procedure.what)} {extent_words(study)}")
    yield from shopping_blocks(study, job)
    yield from assumptions(job)
    yield from footing(study, finish)


def in_short(study: TakeOff, finish: str) -> Notice:
    """The hazards by name, and where they are told in full."""
    return Notice("Hazards of this work", (danger_words(hazards_of(study, finish)), TOLD))


def shopping_blocks(study: TakeOff, job: Job) -> Iterator[Block]:
    """The list by parts, with its sums."""
    lines, least, reader = shopping(job, study.book), materials_needed(job, LOW), study.reader
    for part in GOODS_AND_HIRE:
        rows = [line for line in lines if line.part == part]
        if rows:
            yield Heading(PART_WORDS[part])
            yield Table(
                ("What", "Needed", "Buy" if part != "hire" else "Hire", "Left over", f"Cost, {reader.currency}"),
                tuple(_row(line, least.get(line.name, 0.0), reader) for line in rows),
                frozenset({4}),
                (8, 5, 9, 4, 4),
            )
            if part == "protection":
                people = counted(max(at_work(job, step.task) for step in job.steps), "person", "people")
                yield Paragraph(
                    f"Enough for {people} at work. {DATA_SHEET_DECIDES}",
                )
    total = sum(line.cost for line in lines)
    yield Paragraph(f"In all {reader.money(total)}. Packs are chosen to cost least; a kit is never split.", strong=True)


def _row(line: Line, least: float, reader: Reader) -> tuple[str, ...]:
    packs = [
        f"{count} x {reader.pack(article.pack.holds, line.unit, article.sold_as)} ({article.item})"
        for count, article in zip(line.choice.counts, line.articles, strict=True)
        if count
    ]
    low, high = reader.amount(min(least, line.need), line.unit), reader.amount(line.need, line.unit, up=True)
    needed = high if low == high or line.unit in ("each", "days") else f"{low.split(' ')[0]} to {high}"
    if least <= 0 and line.part != "hire":  # only steps that may not be needed take it
        needed = f"up to {high}"
    return line.words, needed, ", ".join(packs), reader.amount(line.left_over, line.unit), f"{line.cost:,.2f}"


def extent_words(study: TakeOff) -> str:
    """How much floor, in a sentence."""
    extent, reader = study.extent, study.reader
    how = f" ({', '.join(extent.rooms)})" if extent.rooms else ""
    area, edges = reader.span(extent.area, "m2"), reader.span(extent.edges, "m")
    return f"Worked out for {area}{how}, with {edges} of edges."


def assumptions(job: Job) -> Iterator[Block]:
    """What was taken where nothing was said."""
    if job.assumed:
        yield Heading("Taken for granted")
        yield Listing(job.assumed)


@dataclass(frozen=True)
class Figures:
    """A finish's costs as this study shows them: doing it oneself, and hired."""

    finish: str
    own: tuple[Cost, Cost]
    hired: tuple[Cost, Cost]
    life: dict[int, tuple[float, float]]  # by years, for whoever works by the case


def figures(study: TakeOff, finish: str, rate: float) -> Figures:
    """Cost now and over the years."""
    own, hired = study.job(finish, hired=False), study.job(finish, hired=True)
    chosen = hired if study.hired else own
    life = {years: life_cost(chosen, study.book, rate, years) for years in HORIZONS}
    spans = {years: (span.low, span.high) for years, span in life.items()}
    return Figures(finish, cost_range(own, study.book), cost_range(hired, study.book), spans)


def cost_page(study: TakeOff, finish: str, rate: float, against: str | None = None, picture: str = "") -> Page:
    """What a finish costs, by parts, who works, and over the years; and what drives the range."""
    title = f"What it costs: {study.base.finishes[finish].name}"
    return Page(title, tuple(_cost(study, finish, rate, against, picture)))


def _cost(study: TakeOff, finish: str, rate: float, against: str | None, picture: str) -> Iterator[Block]:
    job, reader = study.job(finish), study.reader
    yield from heads(study, f"What it costs: {job.finish.name}", finish)
    yield in_short(study, finish)
    yield Paragraph(extent_words(study))
    found = figures(study, finish, rate)
    yield Table(("", "Doing it yourself", "Hired out"), tuple(_parts(found, study)), frozenset({1, 2}), (4, 3, 3))
    if job.finish.properties["difficulty"].choices == ("professional",):
        yield Paragraph("This is a trained crew's job; the left column shows only what material and hire would cost.")
    yield Paragraph("Small floors are dearer for their size: travel, hire by the day and whole packs stay the same.")
    yield from budget_blocks(study, found)
    yield from _driven(study, job, picture)
    yield Heading("Over the years")
    who = "hired out" if study.hired else "doing it yourself"
    upkeep = ", ".join(
        f"{job.base.tasks[each.do].title.lower()}{_every(job, each.every)}" for each in job.procedure.upkeep
    )
    yield Paragraph(f"Upkeep: {upkeep}.")
    rows = tuple((f"{years} years", reader.money(*span)) for years, span in found.life.items())
    yield Table(("Period", f"Cost in today's money, {who}"), rows, frozenset({1}), (2, 4))
    yield Paragraph(
        f"Discounted at {rate:.1%} a year over inflation, as in NIST Handbook 135. Your own time is not counted."
    )
    if against:
        yield from _breaks_even(study, finish, against, rate)
    yield from assumptions(job)
    yield from footing(study, finish)


def budget_blocks(study: TakeOff, found: Figures) -> Iterator[Block]:
    """How the figures stand to the budget that was named, if one was, in the price book's currency."""
    named = study.case.facts.get("budget")
    if named is None or named.interval is None or not named.known or study.reader.currency != "USD":
        return
    low, high = found.hired if study.hired else found.own
    enough, short = named.interval.low >= high.total, named.interval.high < low.total
    stands = "is enough" if enough else "is not enough" if short else "may not be enough"
    yield Paragraph(
        f"You named a budget of {named.shown}: for {study.reader.money(low.total, high.total)} it {stands}.",
        strong=not enough,
    )


def upkeep_words(job: Job) -> str:
    """What is done over the years, and how often."""
    return ", ".join(
        f"{job.base.tasks[each.do].title.lower()}{_every(job, each.every)}" for each in job.procedure.upkeep
    )


def _every(job: Job, every: str) -> str:
    if every == "1 year":  # what goes on all year says so itself
        return ""
    if every != "renewal":
        return f" (every {every})"
    span = job.finish.properties["renewal"].interval
    return f" (every {span.low:g} to {span.high:g} years)" if span else " (when worn)"


def _parts(found: Figures, study: TakeOff) -> Iterator[tuple[str, ...]]:
    reader = study.reader
    for part in PARTS:
        yield (
            PART_WORDS[part],
            *(_span(getattr(low, part), getattr(high, part), reader) for low, high in _both(found)),
        )
    yield ("In all", *(reader.money(low.total, high.total) for low, high in _both(found)))
    area = study.extent.area
    yield ("By area", *(reader.by_area(low.total, high.total, area) for low, high in _both(found)))


def _both(found: Figures) -> tuple[tuple[Cost, Cost], tuple[Cost, Cost]]:
    return found.own, found.hired


def _span(low: float, high: float, reader: Reader) -> str:
    return reader.money(low, high) if high else "-"


def _driven(study: TakeOff, job: Job, picture: str) -> Iterator[Block]:
    bars = swings(job, study.book)
    yield Heading("What drives the range")
    middle = cost(job, study.book, MIDDLE).total
    items = tuple(f"{each.driver}: {study.reader.money(each.low, each.high)}" for each in bars[:6])
    yield Paragraph(f"With everything in the middle it comes to {study.reader.money(middle)}. Each alone moves that:")
    if picture:
        yield Picture(picture, f"What drives the cost: {', '.join(each.driver for each in bars[:3])} the most.")
    yield Listing(items)


def cost_bars(study: TakeOff, finish: str) -> tuple[list[Swing], float]:
    """What the tornado picture shows: the swings, and the cost in the middle."""
    job = study.job(finish)
    return swings(job, study.book), cost(job, study.book, MIDDLE).total


def _breaks_even(study: TakeOff, finish: str, against: str, rate: float) -> Iterator[Block]:
    first, second = study.job(finish), study.job(against)
    found = break_even(first, second, study.book, rate)
    dear = study.base.finishes[found.dearer_first].name
    cheap = next(job.finish.name for job in (first, second) if job.finish.id != found.dearer_first)
    yield Heading(f"Against {study.base.finishes[against].name}")
    if found.year is None:
        text = f"In the middle of the ranges, {dear} never pays for itself against {cheap}."
    else:
        text = f"{sentence(dear)[:-1]} is dearer at first, and pays for itself against {cheap} {_year(found.year)}."
    ends = _year(found.earliest), _year(found.latest)
    yield Paragraph(f"{text} At the ends of the ranges: {ends[0]} at best, {ends[1]} at worst.")


def _year(year: int | None) -> str:
    return "never" if year is None else "from the start" if year == 0 else f"in year {year}"
