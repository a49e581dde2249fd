"""The written answer: one or two pages for the customer, in plain words, nothing that can hurt them left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.answer.kind_words import please_wait
from advisor.model.reader import Reader
from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph, Table
from advisor.pages.compare import Column, compared, shut_words
from advisor.pages.lists import PART_WORDS, budget_blocks, figures
from advisor.pages.parts import floor_hazards, footing, hazard_notice, stops, too_long
from advisor.work.before import before
from advisor.work.cost import GOODS_AND_HIRE, Cost, Line, shopping
from advisor.work.job import Job
from advisor.work.takeoff import TakeOff
from explanations.words import listing, sentence

MOST_REASONS = 5
MOST_QUESTIONS = 3
ABREAST = 3
HARDNESS = {
    "easy": "easy",
    "moderate": "some skill",
    "hard": "hard for a first time",
    "professional": "work for a trained crew",
}
PASSING = {"dense": "hardly", "thin": "a little", "loose": "a little", "none": "freely"}


def letter_page(study: TakeOff, rate: float) -> Page:
    """The letter for a floor.

    Args:
        study: the floor with its advice, extent and prices.
        rate: real discount rate for the cost over the years, 0.03 for 3 %.
    """
    return Page(f"Your floor: {study.case.floor}", tuple(_letter(study, rate)))


def _letter(study: TakeOff, rate: float) -> Iterator[Block]:
    advice = study.advice
    yield Heading(f"Your floor: {study.case.floor}", 1)
    yield Paragraph(f"{study.today.day} {study.today:%B %Y}")
    yield from stops(study)
    yield Heading("What we advise")
    yield Paragraph(advice.answer.sentence, strong=True)
    leading = advice.answer.leading
    if leading is None or advice.stops or advice.holds:
        yield Paragraph("Please buy nothing yet. Come back to us when this is done, and we will look again.")
        yield from _questions(study)
        yield from floor_hazards(study)
        yield from footing(study)
        return
    standing = study.standing(leading)
    yield Paragraph(study.base.finishes[leading].what)
    yield from _reasons(study, leading)
    if standing.first:
        yield Heading("What comes first")
        firsts = sorted(before(study, leading).steps, key=lambda each: not each.opens)
        yield Listing(tuple(each.words for each in firsts))
    if advice.answer.kind == "test first":
        yield Paragraph(please_wait(advice.answer.waits_for), strong=True)
    yield hazard_notice(study, leading)
    columns = compared(study, _shown(study), rate)
    yield from _side_by_side(study, columns)
    if warning := too_long(study, columns[0].shut):
        yield Paragraph(f"{sentence(columns[0].finish.name)[:-1]}: {warning[:1].lower()}{warning[1:]}", strong=True)
    job = study.job(leading)
    yield from _buying(study, job, rate)
    yield from _steps(job)
    yield from _questions(study)
    if advice.referrals:
        yield Heading("Who else to ask")
        yield Listing(tuple(f"{sentence(each.who)} {each.tell}" for each in advice.referrals))
    yield from footing(study, leading)


def _reasons(study: TakeOff, leading: str) -> Iterator[Block]:
    awards = [each for each in study.standing(leading).points if each.weighted > 0]
    awards.sort(key=lambda each: -each.weighted)
    if awards:
        yield Heading("Why")
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
        return column.finish.properties[name].choices[0].replace("_", " ")

    rows = [
        ("Cost, done by you", *(_money(study, each.figures.own) for each in columns)),
        ("Cost, hired out", *(_money(study, each.figures.hired) for each in columns)),
        ("Over 20 years", *(reader.money(*each.figures.life[20]) for each in columns)),
        ("How hard", *(HARDNESS[choice(each, "difficulty")] for each in columns)),
        (f"{columns[0].place} shut", *(shut_words(study, each) for each in columns)),
        ("Lets damp out", *(PASSING[choice(each, "film")] for each in columns)),
        ("Grip when wet", *(choice(each, "wet_grip") for each in columns)),
        ("Upkeep", *(choice(each, "upkeep") for each in columns)),
    ]
    yield Heading("Side by side")
    yield Table(("", *(each.finish.name for each in columns)), tuple(rows), frozenset(), (2, *[3] * len(columns)))
    if ruled_out := [each.name for each in study.advice.standings if each.verdict == "ruled out"]:
        yield Paragraph(f"Not for this floor: {listing(ruled_out)}. Ask us for the reasons.")


def _money(study: TakeOff, costs: tuple[Cost, Cost]) -> str:
    return study.reader.money(costs[0].total, costs[1].total)


def _buying(study: TakeOff, job: Job, rate: float) -> Iterator[Block]:
    lines, reader = shopping(job, study.book), study.reader
    items = []
    for part in GOODS_AND_HIRE:
        some = [line for line in lines if line.part == part]
        if some:
            total = reader.money(sum(line.cost for line in some))
            items.append(f"{PART_WORDS[part]}, {total}: {'; '.join(_packs(line, reader) for line in some)}.")
    yield Heading("What to buy and hire")
    yield Listing(tuple(items))
    total = reader.money(sum(line.cost for line in lines))
    yield Paragraph(f"In all {total}. {study.book.tax_words()} This is no quote.")
    yield from budget_blocks(study, figures(study, job.finish.id, rate))
    if job.assumed:
        yield Listing(job.assumed)


def _packs(line: Line, reader: Reader) -> str:
    chosen = zip(line.choice.counts, line.articles, strict=True)
    packs = " and ".join(
        f"{count}"
        if article.sold_as == "1 each"
        else f"{count} x {reader.pack(article.pack.holds, line.unit, article.sold_as)}"
        for count, article in chosen
        if count
    )
    return f"{line.words} ({packs})"


def _steps(job: Job) -> Iterator[Block]:
    yield Heading("The work, step by step")
    yield Listing(
        tuple(f"{step.title}{'' if step.certain else ' (if needed)'}. {step.task.says}" for step in job.steps),
        numbered=True,
    )


def _questions(study: TakeOff) -> Iterator[Block]:
    if asked := study.advice.ask_next[:MOST_QUESTIONS]:
        yield Heading("What could change this")
        yield Listing(tuple(f"{each.ask} {each.why}" for each in asked))
