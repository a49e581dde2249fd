"""Parts that every page of estimates has: what comes before any finish, hazards, and what the figures rest on."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator

from advisor.answer.kind_words import before_buying, sheet_words
from advisor.model.reader import days_words
from advisor.model.standing import Hazard, ToDo
from advisor.pages.blocks import Block, Heading, Listing, Notice, Paragraph
from advisor.work.cost import shopping
from advisor.work.fit import fit
from advisor.work.pricebook import LABOUR, serving
from advisor.work.takeoff import Danger, TakeOff, hazards_of, values_rest_on
from explanations.wording import listed, wording


def heads(study: TakeOff, title: str, finish: str | None, waits: bool = True) -> Iterator[Block]:
    """What stands above every page: the title, and first of all what comes before any finish, and this one."""
    yield Heading(title, 1)
    yield from stops(study)
    if finish and finish == study.advice.answer.leading and (found := fit(study)) and found.but:
        yield Notice(wording("page.does_not_fit"), found.says)
    if finish:
        standing = study.standing(finish)
        if standing.verdict == "ruled out":
            reasons = tuple(each.because for each in standing.ruled_out_by)
            yield Notice(wording("page.ruled_out", finish=standing.name), reasons)
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


def stops(study: TakeOff, title: str = "page.stop", asks: bool = True) -> Iterator[Block]:
    """Professionals to call first, and what holds the floor; at full weight.

    Args:
        study: the floor.
        title: of the calls, a text's key.
        asks: whether the questions that hold it stand with their reasons; they may stand elsewhere.
    """
    advice = study.advice
    if advice.stops:
        items = tuple(
            wording("page.call", who=stop.who, why=stop.reasons[0].because, tell=stop.tell) for stop in advice.stops
        )
        yield Notice(wording(title), items)
    if advice.holds:
        yield Notice(wording("page.hold"), tuple(_hold(hold, asks) for hold in advice.holds))


def _hold(hold: ToDo, asks: bool) -> str:
    return f"{hold.says} {hold.reasons[0].because}" if asks or hold.kind != "ask" else hold.reasons[0].because


def too_long(study: TakeOff, shut: tuple[float, float]) -> str:
    """What to say where the days until one may walk on the floor may be more than it can be shut; else nothing."""
    allowed = study.facts["days_shut"]
    if not allowed.known or allowed.interval is None or shut[1] <= allowed.interval.low:
        return ""
    surely = shut[0] > allowed.interval.high
    if surely:
        return wording("page.shut_surely", days=allowed.shown, takes=days_words(*shut))
    return wording("page.shut_maybe", days=allowed.shown, most=f"{math.ceil(shut[1] * 2) / 2:g}")


def floor_hazards(study: TakeOff) -> Iterator[Block]:
    """Where no work is planned yet: every hazard of the floor itself."""
    items = tuple(hazard_words(each) for each in study.advice.hazards if each.floor)
    if items:
        yield Notice(wording("page.hazards"), items)


def hazard_notice(study: TakeOff, finish: str) -> Notice:
    """All hazards of the work, each in full."""
    items = tuple(hazard_words(each) for each in hazards_of(study, finish))
    return Notice(wording("page.hazards_of_work"), (*items, study.advice.deference))


def hazard_words(hazard: Danger | Hazard) -> str:
    """A hazard in full, behind how grave it is."""
    return wording("page.hazard", severity=wording(f"page.severity.{hazard.severity}"), says=hazard.says)


def danger_words(hazards: Iterable[Danger], left_out: Collection[str] = ()) -> str:
    """Hazards by name, where there is no room for more."""
    by_severity: dict[str, list[str]] = {}
    for each in hazards:
        if each.name not in left_out:
            by_severity.setdefault(each.severity, []).append(each.title)
    told = (
        wording("page.hazard", severity=wording(f"page.severity.{severity}"), says=", ".join(names))
        for severity, names in by_severity.items()
    )
    return "; ".join(told) or wording("page.no_hazards")


def filled_names(study: TakeOff, finish: str) -> list[str]:
    """What a finish takes that the shop's own price book does not have."""
    job = study.job(finish)
    lines = shopping(job, study.book)
    names = [line.words for line in lines if any(each.filled for each in line.articles)]
    labour = serving(study.book, "labour", LABOUR[0]) if job.hired else ()
    return names + [wording("pricebook.crew") for each in labour if each.filled]


def footing(study: TakeOff, finish: str | None = None) -> Iterator[Block]:
    """Prices, tax, age of prices, what a finish's figures rest on, deference, date and rule base."""
    book, advice = study.book, study.advice
    years = study.base.norms["price_age"].interval.low
    old = book.older_than(years, study.today)
    yield Heading(wording("page.about"))
    lines = [wording("page.prices", book=book.name, currency=book.currency, tax=book.tax_words())]
    if book.note:
        lines.append(book.note)
    if finish and (lacking := filled_names(study, finish)):
        lines.append(wording("pricebook.filled", book=book.name, names=listed(lacking), n=len(lacking)))
    if old:
        named = [wording("page.priced", item=each.item, dated=each.dated) for each in old[:5]]
        named += [wording("page.others")] if len(old) > 5 else []
        lines.append(wording("page.old_prices", years=round(years), named=listed(named)))
    if finish:
        lines.append(wording("page.rests_on", what=values_rest_on(study, finish)))
    mark = advice.rule_base
    laid_over = "".join(wording("page.laid_over", name=each.name) for each in mark.overlays)
    told = wording("page.mark", date=advice.date, version=mark.version, mark=mark.fingerprint, laid_over=laid_over)
    if mark.products:
        told += wording("product.in_footing", names=listed(mark.products))
    lines.append(told)
    yield Listing((*lines, *mark.safety))
    yield Paragraph(advice.deference, strong=True)
