"""Parts that every page of estimates has: what comes before any finish, hazards, and what the figures rest on."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator

from advisor.answer.kind_words import before_buying, sheet_words
from advisor.model.reader import days_words
from advisor.pages.blocks import Block, Heading, Listing, Notice, Paragraph
from advisor.work.takeoff import Danger, TakeOff, hazards_of, values_rest_on
from explanations.wording import wording
from explanations.words import listing, sentence

TOLD = "Told in full, with what to do, by: advisor plan, and in the letter."


def heads(study: TakeOff, title: str, finish: str | None, waits: bool = True) -> Iterator[Block]:
    """What stands above every page: the title, and first of all what comes before any finish, and this one."""
    yield Heading(title, 1)
    yield from stops(study)
    if finish:
        standing = study.standing(finish)
        if standing.verdict == "ruled out":
            reasons = tuple(each.because for each in standing.ruled_out_by)
            yield Notice(f"{sentence(standing.name)[:-1]} is ruled out on this floor", reasons)
        elif waits and not study.advice.stops and (deciding := [each for each in standing.first if each.decides]):
            yield Notice(before_buying([each.kind for each in deciding]), tuple(each.says for each in deciding))


def asked(study: TakeOff) -> Iterator[Block]:
    """What the customer asked about, before the better choice."""
    if about := study.advice.answer.asked:
        yield Heading(wording("asked.heading", name=about.name))
        yield Paragraph(about.sentence, strong=True)


def by_sheet(study: TakeOff, finish: str) -> Iterator[Block]:
    """The numbers of the maker's sheet, beside the defaults, where the finish is judged by one."""
    if sheet := study.standing(finish).by_sheet:
        yield Heading(wording("product.numbers_of", name=sheet.product))
        yield Listing(sheet_words(sheet))


def stops(study: TakeOff) -> Iterator[Block]:
    """Professionals to call first, and what holds the floor; at full weight."""
    advice = study.advice
    if advice.stops:
        items = tuple(f"Call {stop.who}. {stop.reasons[0].because} {stop.tell}" for stop in advice.stops)
        yield Notice("Stop: call a professional first. These figures are only for thinking ahead.", items)
    if advice.holds:
        yield Notice(
            "No finish before this is done", tuple(f"{hold.says} {hold.reasons[0].because}" for hold in advice.holds)
        )


def too_long(study: TakeOff, shut: tuple[float, float]) -> str:
    """What to say where the days until one may walk on the floor may be more than it can be shut; else nothing."""
    allowed = study.facts["days_shut"]
    if not allowed.known or allowed.interval is None or shut[1] <= allowed.interval.low:
        return ""
    surely = shut[0] > allowed.interval.high
    takes = f"takes {days_words(*shut)}" if surely else f"may take up to {math.ceil(shut[1] * 2) / 2:g} days"
    return f"You have {allowed.shown}; until the floor may be walked on, this {takes}."


def floor_hazards(study: TakeOff) -> Iterator[Block]:
    """Where no work is planned yet: every hazard of the floor itself."""
    items = tuple(f"{each.severity.upper()}: {each.says}" for each in study.advice.hazards if each.floor)
    if items:
        yield Notice("Hazards", items)


def hazard_notice(study: TakeOff, finish: str) -> Notice:
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


def footing(study: TakeOff, finish: str | None = None) -> Iterator[Block]:
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
    products = wording("product.in_footing", names=listing(mark.products)) if mark.products else ""
    lines.append(f"{advice.date}, rule base {mark.version} ({mark.fingerprint}){overlays}{products}.")
    yield Listing(tuple(lines))
    yield Paragraph(advice.deference, strong=True)
