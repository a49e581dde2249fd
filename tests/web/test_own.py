"""Data sheets and prices that a visitor brings along: the same outcome as by the command line, and nobody else's."""

from __future__ import annotations

import asyncio
import os
import re
import sys
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

import httpx
import pytest
from openpyxl import Workbook

from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.errors import AdvisorError
from advisor.facts.case import read_case
from advisor.pages.blocks import Page
from advisor.rulebase.products import with_products
from advisor.validation.loading import read_rulebase
from advisor.web import told
from advisor.web.asked import Asked
from advisor.web.own import LONGEST, MOST_SHEETS, NOTHING, Own, pack_own, unpack_own
from advisor.web.rendering import body
from advisor.web.work import Workers
from advisor.work.book_reading import demo_book, read_pricebook
from advisor.work.fit import study_fully
from explanations.reading import measuring
from explanations.wording import speaking_of
from tests.answer.test_judging import BASE
from tests.engines.test_contained import SMALL
from tests.web.conftest import Visitor, case_in
from tests.web.views import quick, wearing

TODAY = date.today()
SHEET = """product: The grey one
like: flake epoxy with a clear coat
sheet: {title: Technical data, date: 2026-03-01}
times_at: 77 F
humidity: 90 %
coverage: 160 ft2/gal
recoat_window: 10 to 24 h
"""
HEAD = "kind,item,for,description,pack,unit,parts,price,price_high,currency,date\n"
BOOK = HEAD + "labour,crew-1,crew,one of the crew,1,hour,,91,99,USD,2026-01-05\n"


@pytest.fixture
def garage(visitor: Visitor) -> str:
    """What the address says of the shipped garage."""
    return case_in(visitor.get("/example?floor=untested_garage&way=counter").headers["location"])


def bring(visitor: Visitor, case: str, what: str, text: str = "", file: tuple[str, bytes] | None = None) -> Any:
    files = {"file": file or ("", b"")}
    return visitor.post("/counter/own", data={"case": case, "what": what, "text": text}, files=files)


def brought(reply: httpx.Response) -> str:
    assert reply.status_code == 303, reply.text
    return case_in(reply.headers["location"])


_opened_to_write: list[str] = []


def _hear(event: str, arguments: tuple[Any, ...]) -> None:
    if event == "open" and arguments[2] is not None and arguments[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
        _opened_to_write.append(str(arguments[0]))


sys.addaudithook(_hear)


def test_a_product_is_judged_as_by_the_command_and_for_nobody_else(
    visitor: Visitor, garage: str, tmp_path: Path
) -> None:
    _opened_to_write.clear()
    case = brought(bring(visitor, garage, "sheet", file=("grey.yaml", SHEET.encode())))
    assert _opened_to_write == []
    (tmp_path / "grey.yaml").write_text(SHEET)
    reasoner = Reasoner(with_products(BASE, [tmp_path / "grey.yaml"]))
    study = study_fully(reasoner, read_case(demo_cases()["untested_garage"], reasoner.base, TODAY), TODAY)
    with speaking_of("web"), measuring(study.reading):
        pages = {"full": _words(told.in_full(study)[0]), "takes": _words(told.takes(study)[0])}
    for name, words in pages.items():
        assert words in visitor.get(f"/home/{name}", params={"case": case}).text
    assert "The grey one" in visitor.get("/counter", params={"case": case}).text
    assert "The grey one" not in visitor.get("/counter", params={"case": garage}).text
    away = visitor.post("/counter/own", data={"case": case, "away": "sheet0"})
    assert brought(away) == garage


def _words(page: Page) -> str:
    return re.sub(r"(\d) %(?=[^<>]*<)", "\\1\u00a0%", str(body(page)))


def test_what_is_typed_after_it_goes_on_with_the_product_and_the_prices(visitor: Visitor, garage: str) -> None:
    case = brought(bring(visitor, garage, "sheet", SHEET))
    case = brought(bring(visitor, case, "prices", BOOK))
    after = visitor.post("/counter", data={"case": case, "said": "slab_humidity: 88 %; who_works: hired"})
    page = visitor.get(after.headers["location"]).text
    assert "88\u00a0%" in page
    assert "The grey one" in page
    assert visitor.get("/lesson", params={"case": case}).status_code == 200
    asked = visitor.get("/whatif", params={"case": case_in(after.headers["location"]), "fact": "slab_humidity"})
    assert asked.status_code == 200
    shopping = visitor.get("/counter/shopping", params={"case": case_in(after.headers["location"])}).text
    assert "what was pasted" in shopping


@pytest.mark.parametrize("kind", ["csv", "xlsx", "cells copied"])
def test_prices_are_read_as_by_the_command(visitor: Visitor, garage: str, kind: str) -> None:
    rows = [line.split(",") for line in BOOK.splitlines()]
    match kind:
        case "csv":
            sent = bring(visitor, garage, "prices", file=("book.csv", BOOK.encode()))
        case "xlsx":
            book, held = Workbook(), BytesIO()
            for row in rows:
                book.active.append(row)  # type: ignore[union-attr]
            book.save(held)
            sent = bring(visitor, garage, "prices", file=("book.xlsx", held.getvalue()))
        case _:
            sent = bring(visitor, garage, "prices", "\r\n".join("\t".join(row) for row in rows))
    own = unpack_own(brought(sent).partition(".")[2], BASE)
    assert own.prices
    read = read_pricebook(own.prices, BASE, TODAY)
    (crew,) = read.labour["crew"]
    assert (crew.pack.price, crew.price_high, read.currency) == (9100, 9900, "USD")
    assert "1 price" in visitor.get(sent.headers["location"]).text


def test_the_whole_shipped_book_goes_into_an_address_with_sheets_beside_it(visitor: Visitor, garage: str) -> None:
    case = brought(bring(visitor, garage, "prices", file=("prices.csv", demo_book().read_bytes())))
    for n in range(MOST_SHEETS):
        case = brought(bring(visitor, case, "sheet", SHEET.replace("grey", f"grey {n}")))
    assert len(case) < 4000
    assert visitor.get("/counter", params={"case": case}).status_code == 200
    more = bring(visitor, case, "sheet", SHEET)
    assert more.status_code == 422
    assert "at most 3 products" in more.text


WRONG = {
    "a number out of range": ("sheet", SHEET.replace("90 %", "900 %")),
    "no such finish": ("sheet", SHEET.replace("flake epoxy with a clear coat", "gold")),
    "no sheet": ("sheet", "nothing of the kind"),
    "no such column": ("prices", BOOK.replace("labour", "lunch")),
    "a price that is none": ("prices", BOOK.replace(",91,", ",much,")),
    "no table": ("prices", '"never closed'),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_said_as_by_the_command(visitor: Visitor, garage: str, name: str, tmp_path: Path) -> None:
    what, text = WRONG[name]
    file = tmp_path / ("sent.yaml" if what == "sheet" else "sent.csv")
    file.write_text(text)
    with pytest.raises(AdvisorError) as refused:
        with_products(BASE, [file]) if what == "sheet" else read_pricebook(file, BASE, TODAY)
    reply = bring(visitor, garage, what, file=(file.name, text.encode()))
    assert reply.status_code == 422
    for fault in refused.value.faults:
        shown = reply.text.replace("\u00a0", " ").replace("&#34;", '"').replace("&#39;", "'")
        assert f"{fault.where}: {fault.what}" in shown


@pytest.mark.parametrize("what", ["sheet", "prices"])
@pytest.mark.parametrize("text", ["", "   ", "<script>document.title='taken'</script>", "7 x " * 2500, "\x00\x1b[31m"])
def test_odd_texts_are_refused_in_words(visitor: Visitor, what: str, text: str) -> None:
    reply = bring(visitor, "", what, text)
    assert reply.status_code == 422
    assert "<script>document" not in reply.text
    assert "\x1b" not in reply.text


def test_what_is_too_much_is_refused(visitor: Visitor, garage: str) -> None:
    assert bring(visitor, garage, "sheet", "# much\n" * 2000 + SHEET).status_code == 422
    names = (os.urandom(9).hex() for _ in range(900))
    rows = "".join(f"labour,{name},crew,{name[::-1]},1,hour,,91,99,USD,2026-01-05\n" for name in names)
    reply = bring(visitor, garage, "prices", file=("book.csv", (HEAD + rows).encode()))
    assert reply.status_code == 422
    assert "address of a page" in reply.text
    bomb = BytesIO()
    with ZipFile(bomb, "w", ZIP_DEFLATED) as packed:
        packed.writestr("xl/sharedStrings.xml", b"<" * 60_000_000)
    refused = bring(visitor, garage, "prices", file=("book.xlsx", bomb.getvalue()))
    assert refused.status_code == 422
    assert "too large" in refused.text


@pytest.mark.parametrize("tail", ["x", "AAAA", "a" * (LONGEST + 1), "eNo=", "\u00e9"])
def test_an_address_that_holds_no_such_thing_is_refused(visitor: Visitor, garage: str, tail: str) -> None:
    assert visitor.get("/counter", params={"case": f"{garage}.{tail}"}).status_code == 422


def test_what_is_packed_comes_back() -> None:
    assert unpack_own(pack_own(NOTHING, BASE), BASE) == NOTHING
    assert not Own()


def test_a_sheet_and_prices_to_fill_in_are_saved(visitor: Visitor, garage: str) -> None:
    page = visitor.get("/home/own", params={"case": garage}).text
    assert "/home/own/sheet.yaml" in page
    sheet = visitor.get("/home/own/sheet.yaml")
    assert "attachment" in sheet.headers["content-disposition"]
    assert "humidity" in sheet.text
    assert ",USD," in visitor.get("/home/own/prices.csv", params={"case": garage}).text


def test_a_process_that_made_many_rule_bases_ready_is_replaced() -> None:
    async def asked() -> list[bytes]:
        async with Workers(read_rulebase(SMALL), workers=1) as workers:
            views = (quick, quick, wearing, quick)
            return [(await workers.run(view, Asked(""), TODAY)).body for view in views]

    before, same, last, after = asyncio.run(asked())
    assert before == same == last
    assert after != before
