"""Pages of what to buy and what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from advisor.model.reader import Reader, to
from advisor.pages.blocks import Block, Heading, Listing, Notice, Page, Paragraph, Picture, Table
from advisor.pages.parts import danger_words, footing, heads
from advisor.physics.bounds import Interval
from advisor.work.cost import GOODS_AND_HIRE, PARTS, Cost, Line, Swing, cost, cost_range, shopping, swings
from advisor.work.fit import money_stands
from advisor.work.granted import granted
from advisor.work.job import Job
from advisor.work.life import MIDDLE, break_even, life_cost
from advisor.work.needed import dust, materials_needed
from advisor.work.pace import at_work
from advisor.work.settings import HIGH, HIGH_ON_TOP, LOW
from advisor.work.takeoff import TakeOff, hazards_of
from explanations.wording import listed, wording
from explanations.words import sentence

HORIZONS = (10, 20)


def materials_page(study: TakeOff, finish: str) -> Page:
    """What to buy and hire for a finish, in whole packs, with what is left over."""
    return Page(wording("buying.title", finish=study.base.finishes[finish].name), tuple(_materials(study, finish)))


def _materials(study: TakeOff, finish: str) -> Iterator[Block]:
    job = study.job(finish)
    yield from heads(study, wording("buying.title", finish=job.finish.name), finish)
    yield in_short(study, finish)
    yield Paragraph(f"{sentence(job.procedure.what)} {extent_words(study)}")
    yield from shopping_blocks(study, job)
    yield from assumptions(job)
    yield from footing(study, finish)


def in_short(study: TakeOff, finish: str) -> Notice:
    """The hazards by name, and where they are told in full."""
    return Notice(wording("page.hazards_of_work"), (danger_words(hazards_of(study, finish)), wording("page.told")))


def shopping_blocks(study: TakeOff, job: Job) -> Iterator[Block]:
    """The list by parts, with its sums."""
    lines, least, reader = shopping(job, study.book), materials_needed(job, LOW), study.reader
    for part in GOODS_AND_HIRE:
        rows = [line for line in lines if line.part == part]
        if rows:
            yield Heading(wording(f"cost.part.{part}"))
            columns = ("what", "needed", "hire" if part == "hire" else "buy", "left_over")
            head = tuple(wording(f"buying.column.{each}") for each in columns)
            yield Table(
                (*head, wording("buying.cost_in", currency=reader.currency)),
                tuple(_row(line, least.get(line.name, 0.0), reader) for line in rows),
                frozenset({4}),
                (8, 5, 9, 4, 4),
            )
            if part == "material" and (otherwise := _waste_on_top(job, rows, reader)):
                yield Paragraph(wording("buying.waste", otherwise=listed(otherwise)))
            if part == "protection":
                people = wording("buying.people", n=int(max(at_work(job, step.task) for step in job.steps)))
                yield Paragraph(f"{people} {wording('buying.data_sheet')}")
    if (most := dust(job, HIGH)) >= 1.0:
        weight = reader.span(Interval(dust(job, LOW), most), "kg")
        yield Paragraph(wording("buying.dust", weight=weight))
    total = sum(line.cost for line in lines)
    yield Paragraph(wording("buying.in_all", money=reader.money(total)), strong=True)


def _row(line: Line, least: float, reader: Reader) -> tuple[str, ...]:
    packs = [
        wording(
            "buying.packs",
            count=count,
            pack=reader.pack(article.pack.holds, line.unit, article.sold_as),
            item=article.item,
        )
        for count, article in zip(line.choice.counts, line.articles, strict=True)
        if count
    ]
    low, high = reader.amount(min(least, line.need), line.unit), reader.amount(line.need, line.unit, up=True)
    needed = high if low == high or line.unit in ("each", "days") else to(low.split(" ")[0], high)
    if least <= 0 and line.part != "hire":  # only steps that may not be needed take it
        needed = wording("buying.up_to", amount=high)
    filled = any(each.filled for each in line.articles)
    cost_words = wording("buying.invented" if filled else "buying.as_priced", cost=f"{line.cost:,.2f}")
    return line.words, needed, ", ".join(packs), reader.amount(line.left_over, line.unit), cost_words


def _waste_on_top(job: Job, rows: Iterable[Line], reader: Reader) -> list[str]:
    """What of each film would be needed if its loss were added to what stays."""
    needed = materials_needed(job, HIGH_ON_TOP)
    less = [(line, needed[line.name]) for line in rows if needed[line.name] < line.need * (1.0 - 1e-9)]
    return [
        wording("buying.of_it", what=line.words, amount=reader.amount(amount, line.unit, up=True))
        for line, amount in less
    ]


def extent_words(study: TakeOff) -> str:
    """How much floor, in a sentence."""
    extent, reader = study.extent, study.reader
    area, edges = reader.span(extent.area, "m2"), reader.span(extent.edges, "m")
    key = "buying.extent_rooms" if extent.rooms else "buying.extent"
    return wording(key, area=area, edges=edges, rooms=", ".join(extent.rooms))


def assumptions(job: Job) -> Iterator[Block]:
    """What was taken where nothing was said."""
    if taken := granted(job):
        yield Heading(wording("buying.granted"))
        yield Listing(taken)


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
    title = wording("buying.cost_title", finish=study.base.finishes[finish].name)
    return Page(title, tuple(_cost(study, finish, rate, against, picture)))


def _cost(study: TakeOff, finish: str, rate: float, against: str | None, picture: str) -> Iterator[Block]:
    job, reader = study.job(finish), study.reader
    yield from heads(study, wording("buying.cost_title", finish=job.finish.name), finish)
    yield in_short(study, finish)
    yield Paragraph(extent_words(study))
    found = figures(study, finish, rate)
    head = ("", wording("buying.yourself"), wording("buying.hired"))
    yield Table(head, tuple(_parts(found, study)), frozenset({1, 2}), (4, 3, 3))
    if job.finish.properties["difficulty"].choices == ("professional",):
        yield Paragraph(wording("buying.crew_job"))
    yield Paragraph(wording("buying.small_floors"))
    yield from budget_blocks(study, found)
    yield from _driven(study, job, picture)
    yield Heading(wording("buying.years"))
    yield Paragraph(wording("buying.upkeep", what=upkeep_words(job)))
    rows = tuple((wording("buying.so_many", n=years), reader.money(*span)) for years, span in found.life.items())
    columns = wording("buying.period"), wording("buying.in_today", who="crew" if study.hired else "self")
    yield Table(columns, rows, frozenset({1}), (2, 4))
    yield Paragraph(wording("buying.discounted", rate=f"{rate:.1%}"))
    if against:
        yield from _breaks_even(study, finish, against, rate)
    yield from assumptions(job)
    yield from footing(study, finish)


def budget_blocks(study: TakeOff, found: Figures) -> Iterator[Block]:
    """How the figures stand to the budget that was named, if one was, in the price book's currency."""
    low, high = costs = found.hired if study.hired else found.own
    if (stands := money_stands(study, costs)) != "not named":
        budget, cost = study.budget_words, study.reader.money(low.total, high.total)
        said = wording("buying.budget", budget=budget, cost=cost, stands=stands)
        yield Paragraph(said, strong=stands != "enough")


def upkeep_words(job: Job) -> str:
    """What is done over the years, and how often."""
    return "; ".join(_every(job, job.base.tasks[each.do].title, each.every) for each in job.procedure.upkeep)


def _every(job: Job, what: str, every: str) -> str:
    if every == "1 year":  # what goes on all year says so itself
        return what
    if every != "renewal":
        return wording("buying.upkeep_every", what=what, time=every)
    span = job.finish.properties["renewal"].interval
    if span is None:
        return wording("buying.upkeep_worn", what=what)
    return wording("buying.upkeep_span", what=what, low=f"{span.low:g}", high=f"{span.high:g}")


def _parts(found: Figures, study: TakeOff) -> Iterator[tuple[str, ...]]:
    reader = study.reader
    for part in PARTS:
        yield (
            wording(f"cost.part.{part}"),
            *(_span(getattr(low, part), getattr(high, part), reader) for low, high in _both(found)),
        )
    yield (wording("buying.sum"), *(reader.money(low.total, high.total) for low, high in _both(found)))
    area = study.extent.area
    yield (wording("buying.by_area"), *(reader.by_area(low.total, high.total, area) for low, high in _both(found)))


def _both(found: Figures) -> tuple[tuple[Cost, Cost], tuple[Cost, Cost]]:
    return found.own, found.hired


def _span(low: float, high: float, reader: Reader) -> str:
    return reader.money(low, high) if high else wording("buying.nothing")


def _driven(study: TakeOff, job: Job, picture: str) -> Iterator[Block]:
    bars = swings(job, study.book)
    yield Heading(wording("buying.drives"))
    middle = cost(job, study.book, MIDDLE).total
    items = tuple(
        wording("buying.moves", driver=each.driver, money=study.reader.money(each.low, each.high)) for each in bars[:6]
    )
    yield Paragraph(wording("buying.middle", money=study.reader.money(round(middle), round(middle))))
    if picture:
        yield Picture(picture, wording("buying.picture", drivers=", ".join(each.driver for each in bars[:3])))
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
    yield Heading(wording("buying.against", finish=study.base.finishes[against].name))
    if found.year is None:
        text = wording("buying.never_pays", dear=dear, cheap=cheap)
    else:
        text = wording("buying.pays", dear=dear, cheap=cheap, when=_year(found.year))
    ends = wording("buying.ends", earliest=_year(found.earliest), latest=_year(found.latest))
    yield Paragraph(f"{text} {ends}")


def _year(year: int | None) -> str:
    if year is None:
        return wording("buying.never")
    return wording("buying.at_start") if year == 0 else wording("buying.in_year", year=year)
