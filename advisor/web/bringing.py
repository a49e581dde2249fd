"""Where a visitor brings makers' data sheets and prices along, sees what was brought, and takes it away again."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import PurePath

from advisor.errors import AdvisorError, BadRequest, Fault
from advisor.model.reader import reading_of
from advisor.rulebase.data_sheets import starter_sheet
from advisor.sent import Sent
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.own import LONGEST_NAME, Own, pasted, with_prices, with_sheet
from advisor.web.rendering import address, page
from advisor.web.visit import Visit, case_of, pack, unpack
from advisor.work.book_reading import read_pricebook
from advisor.work.book_starter import starter
from explanations.wording import wording
from explanations.words import visible

LONGEST_SHOWN = 60_000  # characters of what is told back to be mended
SHEET, PRICES = "sheet", "prices"


def own_routes(way: str) -> tuple[Route, ...]:
    """The routes of a way from which something may be brought along."""
    return (
        Route(f"/{way}/own", partial(shown, way)),
        Route(f"/{way}/own", partial(bring, way), "POST"),
        Route(f"/{way}/own/sheet.yaml", sheet_to_fill_in),
        Route(f"/{way}/own/prices.csv", prices_to_fill_in),
    )


def shown(way: str, desk: Desk, asked: Asked) -> Reply:
    """What was brought, and where more is."""
    return _page(way, desk, unpack(asked.one("case"), desk.base))


def bring(way: str, desk: Desk, asked: Asked) -> Reply:
    """Take a data sheet or a price book, or put one away; what is wrong with it is said beside it."""
    visit = unpack(asked.one("case"), desk.base)
    try:
        own = _without(visit.own, asked.one("away")) if asked.one("away") else _with(desk, visit.own, asked)
        case = pack(replace(visit, own=own), desk.base)
    except AdvisorError as error:
        return _page(way, desk, visit, asked, error.faults)
    return on_to(address(f"/{way}/own", case=case))


def _without(own: Own, away: str) -> Own:
    if away == PRICES:
        return replace(own, prices=None)
    return replace(own, sheets=tuple(each for n, each in enumerate(own.sheets) if away != f"{SHEET}{n}"))


def _with(desk: Desk, own: Own, asked: Asked) -> Own:
    kind = PRICES if asked.one("what") == PRICES else SHEET
    name, content = asked.files.get("file", ("", b""))
    text = asked.one("text")
    if content:
        sent = Sent(visible(PurePath(name.replace("\\", "/")).name)[-LONGEST_NAME:], content)
    elif not text.strip():
        raise BadRequest([Fault("", wording("web_own.nothing"))])
    elif kind == PRICES:
        sent = pasted(text, wording("web_own.pasted"))
    else:
        sent = Sent(wording("web_own.pasted"), text.replace("\r\n", "\n").encode(), ".yaml")
    return (with_prices if kind == PRICES else with_sheet)(own, sent, desk)


def _page(way: str, desk: Desk, visit: Visit, asked: Asked | None = None, faults: tuple[Fault, ...] = ()) -> Reply:
    base, prices = desk.base, visit.own.prices
    what = (asked.one("what") or SHEET) if asked else ""
    book = read_pricebook(prices, base, desk.today) if prices else None
    own = base.products[len(base.products) - len(visit.own.sheets) :]
    return page(
        "own/own.html",
        422 if faults else 200,
        way=way,
        case=pack(visit, base),
        products=[(f"{SHEET}{n}", each.name, base.finishes[each.finish].name) for n, each in enumerate(own)],
        book=book.name if book else "",
        rows=sum(len(each) for group in (book.goods, book.hire, book.labour) for each in group.values()) if book else 0,
        faults={what: faults},
        text={what: asked.one("text")[:LONGEST_SHOWN]} if asked and faults else {},
    )


def sheet_to_fill_in(desk: Desk, _: Asked) -> Reply:
    """A data sheet to fill in, as a file."""
    return Reply(starter_sheet(desk.base).encode(), kind="application/yaml", saved_as="sheet.yaml")


def prices_to_fill_in(desk: Desk, asked: Asked) -> Reply:
    """A price book to fill in, in the money of the floor's country."""
    case = case_of(desk.base, unpack(asked.one("case"), desk.base), desk.today)
    reading = reading_of(desk.base, case.facts)
    made = starter(desk.base, reading.currency if reading and reading.currency else "USD", desk.today)
    return Reply(made.encode(), kind="text/csv; charset=utf-8", saved_as="prices.csv")
