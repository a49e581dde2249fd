"""What it takes, in a letter: money and days; for who does it themselves, what to buy and hire, and the work."""

from __future__ import annotations

from collections.abc import Iterator, Set

from advisor.model.reader import Reader, days_words, fineness
from advisor.pages.blocks import Block, Heading, Paragraph, Table
from advisor.pages.compare import Column
from advisor.pages.lists import budget_blocks, figures
from advisor.pages.parts import filled_names, too_long
from advisor.work.cost import GOODS_AND_HIRE, Cost, Line, shopping
from advisor.work.job import Job
from advisor.work.takeoff import TakeOff
from explanations.wording import listed, wording


def takes(study: TakeOff, column: Column, rate: float, left_out: Set[str]) -> Iterator[Block]:
    """Money and days; for who does it themselves, what to buy and the work in order."""
    leading = column.finish.id
    yield Heading(wording("letter.takes"))
    costs = column.figures.hired if study.hired else column.figures.own
    money, days = of_job(study, costs), days_words(*column.shut)
    yield Paragraph(
        wording("letter.cost", who="crew" if study.hired else "self", money=money, days=days, place=column.place)
    )
    yield from budget_blocks(study, figures(study, leading, rate))
    if warning := too_long(study, column.shut):
        yield Paragraph(warning, strong=True)
    if not study.hired:
        job = study.job(leading)
        yield from _buying(study, job, costs, left_out)
        titles = (wording("letter.step" if step.certain else "letter.step_if", step=step.title) for step in job.steps)
        in_order = "" if "steps" in left_out else "; ".join(titles)
        yield Paragraph(wording("letter.steps", steps=in_order, told="no" if "steps" in left_out else "yes"))
    yield Paragraph(_prices(study, leading))


def _prices(study: TakeOff, leading: str) -> str:
    book = study.book
    words = [wording("letter.prices", book="own" if study.own_prices else "invented", tax=book.tax_words())]
    if book.note and study.own_prices:
        words.append(book.note)
    if lacking := filled_names(study, leading):
        words.append(wording("letter.filled", n=len(lacking)))
    return " ".join(words)


def _buying(study: TakeOff, job: Job, costs: tuple[Cost, Cost], left_out: Set[str]) -> Iterator[Block]:
    """What to buy and hire, its parts no finer than the whole is known."""
    lines, reader = shopping(job, study.book), study.reader
    step = fineness(costs[1].total - costs[0].total)
    rows = []
    for part in GOODS_AND_HIRE:
        if some := [line for line in lines if line.part == part]:
            total = reader.roughly(sum(line.cost for line in some), step)
            items = "; ".join(line.words if "packs" in left_out else _packs(line, reader) for line in some)
            rows.append((wording(f"cost.part.{part}"), items, total))
    head = tuple(wording(f"letter.buy.{each}") for each in ("part", "items", "money"))
    shown, widths = ((0, 2), (3, 2)) if "kit" in left_out else ((0, 1, 2), (4, 12, 3))
    cells = [tuple(row[column] for column in shown) for row in (head, *rows)]
    yield Table(cells[0], tuple(cells[1:]), frozenset({len(shown) - 1}), widths)
    if {"packs", "kit"} & left_out:
        yield Paragraph(wording("letter.ask_for_list"))


def _packs(line: Line, reader: Reader) -> str:
    chosen = zip(line.choice.counts, line.articles, strict=True)
    packs = listed(
        str(count)
        if article.sold_as == "1 each"
        else wording("letter.count", n=count, pack=reader.pack(article.pack.holds, line.unit, article.sold_as))
        for count, article in chosen
        if count
    )
    return wording("letter.item", what=line.words, packs=packs)


def of_job(study: TakeOff, costs: tuple[Cost, Cost]) -> str:
    """What a job costs, from low to high."""
    return study.reader.money(costs[0].total, costs[1].total)
