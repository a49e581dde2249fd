"""The written answer: one or two pages for the customer, in plain words, nothing that can hurt them left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.answer.kind_words import please_wait
from advisor.model.reader import Reader
from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph, Table
from advisor.pages.compare import Column, compared, difficulty_words, film_words, shut_words
from advisor.pages.lists import budget_blocks, figures
from advisor.pages.parts import asked, by_sheet, floor_hazards, footing, hazard_notice, stops, too_long
from advisor.work.before import before
from advisor.work.cost import GOODS_AND_HIRE, Cost, Line, shopping
from advisor.work.job import Job
from advisor.work.takeoff import TakeOff
from explanations.wording import label, listed, wording

MOST_REASONS = 5
MOST_QUESTIONS = 3
ABREAST = 3


def letter_page(study: TakeOff, rate: float) -> Page:
    """The letter for a floor.

    Args:
        study: the floor with its advice, extent and prices.
        rate: real discount rate for the cost over the years, 0.03 for 3 %.
    """
    return Page(wording("letter.title", floor=study.case.floor), tuple(_letter(study.fully_advised(), rate)))


def _letter(study: TakeOff, rate: float) -> Iterator[Block]:
    advice = study.advice
    yield Heading(wording("letter.title", floor=study.case.floor), 1)
    yield Paragraph(wording("letter.date", day=study.today))
    yield from asked(study)
    yield from stops(study)
    yield Heading(wording("letter.advise"))
    yield Paragraph(advice.answer.sentence, strong=True)
    leading = advice.answer.leading
    if leading is None or advice.stops or advice.holds:
        yield Paragraph(wording("letter.wait"))
        yield from _questions(study)
        yield from floor_hazards(study)
        yield from footing(study)
        return
    standing = study.standing(leading)
    yield Paragraph(study.base.finishes[leading].what)
    yield from _reasons(study, leading)
    yield from by_sheet(study, leading)
    if standing.first:
        yield Heading(wording("letter.first"))
        firsts = sorted(before(study, leading).steps, key=lambda each: not each.opens)
        yield Listing(tuple(each.words for each in firsts))
    if advice.answer.kind == "test first":
        yield Paragraph(please_wait(advice.answer.waits_for), strong=True)
    yield hazard_notice(study, leading)
    columns = compared(study, _shown(study), rate)
    yield from _side_by_side(study, columns)
    if warning := too_long(study, columns[0].shut):
        yield Paragraph(wording("letter.shut", finish=columns[0].finish.name, warning=warning), strong=True)
    job = study.job(leading)
    yield from _buying(study, job, rate)
    yield from _steps(job)
    yield from _questions(study)
    if advice.referrals:
        yield Heading(wording("letter.ask"))
        yield Listing(tuple(wording("letter.ask_one", who=each.who, tell=each.tell) for each in advice.referrals))
    yield from footing(study, leading)


def _reasons(study: TakeOff, leading: str) -> Iterator[Block]:
    awards = [each for each in study.standing(leading).points if each.weighted > 0]
    awards.sort(key=lambda each: -each.weighted)
    if awards:
        yield Heading(wording("letter.why"))
        yield Listing(tuple(dict.fromkeys(each.because for each in awards[:MOST_REASONS])))


def _shown(study: TakeOff) -> list[str]:
    """The leading finish, the one to fall back on, and the next best."""
    answer = study.advice.answer
    left = [each.finish for each in study.advice.standings if each.verdict != "ruled out"]
    return [each for each in dict.fromkeys((answer.leading, answer.fallback, answer.runner_up, *left)) if each][
        :ABREAST
    ]


def _side_by_side(study: TakeOff, columns: Sequence[Column]) -> Iterator[Block]:
    reader = study.reader

    def choice(column: Column, name: str) -> str:
        return label("value", column.finish.properties[name].choices[0])

    def row(name: str, cells: Iterator[str], **more: object) -> tuple[str, ...]:
        return (wording(f"compare.row.{name}", **more), *cells)

    rows = [
        row("own", (_money(study, each.figures.own) for each in columns)),
        row("hired", (_money(study, each.figures.hired) for each in columns)),
        row("years", (reader.money(*each.figures.life[20]) for each in columns), n=20),
        row("hard", (difficulty_words(each.finish) for each in columns)),
        row("shut", (shut_words(study, each) for each in columns), place=columns[0].place),
        row("vapour", (film_words(each.finish) for each in columns)),
        row("grip", (choice(each, "wet_grip") for each in columns)),
        row("upkeep", (choice(each, "upkeep") for each in columns)),
    ]
    yield Heading(wording("letter.side_by_side"))
    yield Table(("", *(each.finish.name for each in columns)), tuple(rows), frozenset(), (2, *[3] * len(columns)))
    if ruled_out := [each.name for each in study.advice.standings if each.verdict == "ruled out"]:
        yield Paragraph(wording("letter.not_these", finishes=listed(ruled_out)))


def _money(study: TakeOff, costs: tuple[Cost, Cost]) -> str:
    return study.reader.money(costs[0].total, costs[1].total)


def _buying(study: TakeOff, job: Job, rate: float) -> Iterator[Block]:
    lines, reader = shopping(job, study.book), study.reader
    items = []
    for part in GOODS_AND_HIRE:
        some = [line for line in lines if line.part == part]
        if some:
            total = reader.money(sum(line.cost for line in some))
            packs = "; ".join(_packs(line, reader) for line in some)
            items.append(wording("letter.items", part=wording(f"cost.part.{part}"), money=total, items=packs))
    yield Heading(wording("letter.buy"))
    yield Listing(tuple(items))
    total = reader.money(sum(line.cost for line in lines))
    yield Paragraph(wording("letter.in_all", money=total, tax=study.book.tax_words()))
    yield from budget_blocks(study, figures(study, job.finish.id, rate))
    if job.assumed:
        yield Listing(job.assumed)


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


def _steps(job: Job) -> Iterator[Block]:
    yield Heading(wording("letter.steps"))
    yield Listing(
        tuple(
            wording("letter.step" if step.certain else "letter.step_if", step=step.title, says=step.task.says)
            for step in job.steps
        ),
        numbered=True,
    )


def _questions(study: TakeOff) -> Iterator[Block]:
    """How settled it is, and what is still to be found out."""
    certainty = study.advice.certainty
    assert certainty is not None
    yield Heading(wording("certainty.title"))
    yield Paragraph(certainty.says)
    if certainty.turns:
        yield Listing(tuple(turning.says for turning in certainty.turns[:MOST_QUESTIONS]))
    if asked := study.advice.ask_next[:MOST_QUESTIONS]:
        yield Heading(wording("letter.changes"))
        yield Listing(tuple(wording("letter.question", ask=each.ask, why=each.why) for each in asked))
