"""The price book: all that is wrong is named with row and column; what is right reads alike from both forms."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import date
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from zipfile import ZipFile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from advisor.engines.reasoning import Reasoner
from advisor.errors import AdvisorError
from advisor.facts.case import make_case
from advisor.facts.statements import read_statement
from advisor.model.knowledge import RuleBase
from advisor.model.units import LITRES
from advisor.pages.lists import materials_page
from advisor.sheets import BadSheet, read_sheet
from advisor.work.book_reading import demo_book, read_pricebook
from advisor.work.book_rows import BadPriceBook
from advisor.work.book_starter import price_names, starter
from advisor.work.cost import Unpriced, cost, shopping
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH
from advisor.work.takeoff import begin
from tests.draws import draws
from tests.work.test_pages import as_seen

from .conftest import TODAY, MakeJob

HEAD = "kind,item,for,description,pack,unit,parts,price,price_high,currency,date"
GOOD = "goods,p1,floor_paint,paint,1,gal,,36.00,,USD,2026-09-01"
FLOOR = {"country": "united_states", "room": "store_room", "area": "440 ft2", "who_works": "self", "on_floor": "bare"}
TAX = "tax,,goods hire,,,percent added,,7.25,,,"


def write(folder: Path, *rows: str) -> Path:
    path = folder / "book.csv"
    path.write_text("\n".join((HEAD, *rows)) + "\n", encoding="utf-8")
    return path


def faults(base: RuleBase, folder: Path, *rows: str) -> list[str]:
    with pytest.raises(BadPriceBook) as refused:
        read_pricebook(write(folder, *rows), base, TODAY)
    return [f"{fault.where}: {fault.what} {fault.allowed}" for fault in refused.value.faults]


@pytest.mark.parametrize(
    ("row", "where", "words"),
    [
        (GOOD.replace("36.00", "-36.00"), "row 2, column price", "-36.00 cannot be a price"),
        (GOOD.replace("36.00", "0"), "row 2, column price", "0 cannot be a price"),
        (GOOD.replace("36.00", "ask us"), "row 2, column price", '"ask us" is not a number'),
        (GOOD.replace("36.00", "NaN"), "row 2, column price", '"NaN" is not a number'),
        (GOOD.replace("36.00", "1.001"), "row 2, column price", "finer than a hundredth"),
        (GOOD.replace(",1,gal", ",0,gal"), "row 2, column pack", "a pack of 0 cannot be"),
        (GOOD.replace(",1,gal", ",one,gal"), "row 2, column pack", '"one" is not a number'),
        (GOOD.replace("gal", "lb"), "row 2, column unit", "lb"),
        (GOOD.replace("floor_paint", "flour_paint"), "row 2, column for", "flour_paint"),
        (GOOD.replace("p1", "p\x1b[8m1"), "row 2", "obeyed instead of shown (U+001B)"),
        (GOOD.replace("p1", "p\u202e1"), "row 2", "obeyed instead of shown (U+202E)"),
        (GOOD.replace("2026-09-01", "last week"), "row 2, column date", '"last week" is not a date'),
        (GOOD.replace("2026-09-01", "2031-01-01"), "row 2, column date", "lies in the future"),
        (GOOD.replace("USD", "dollars"), "row 2, column currency", "three capitals"),
        (GOOD.replace("goods,", "good,"), "row 2, column kind", "goods, hire, labour, tax"),
        (GOOD.replace("36.00", "3_6"), "row 2, column price", '"3_6" is not a number'),
        (GOOD.replace(",1,gal", ",0_1,gal"), "row 2, column pack", '"0_1" is not a number'),
        (GOOD.replace(",1,gal", f",1.{'3' * 5000},gal"), "row 2, column pack", f'"1.{"3" * 58}" is not a number'),
        (GOOD.replace("p1", ""), "row 2, column item", "empty"),
        ("goods,e1,epoxy_body,kit,1,gal,,74,,USD,2026-09-01", "row 2, column parts", "never split"),
        ("goods,e1,roller_cover,rollers,1.5,each,,74,,USD,2026-09-01", "row 2, column unit", "whole pieces"),
        ("hire,h1,mixer,mixer,1,month,,74,,USD,2026-09-01", "row 2, column unit", "day, week"),
        ("labour,l1,crew,crew,1,hour,,80,50,USD,2026-09-01", "row 2, column price_high", "less than the price"),
    ],
)
def test_what_is_wrong_is_named_with_row_and_column(
    base: RuleBase, tmp_path: Path, row: str, where: str, words: str
) -> None:
    found = faults(base, tmp_path, row, TAX)
    assert len(found) == 1
    assert where in found[0]
    assert words in found[0]


def test_all_faults_are_told_at_once(base: RuleBase, tmp_path: Path) -> None:
    found = faults(
        base,
        tmp_path,
        GOOD.replace("36.00", "free"),
        GOOD.replace("p1", "p2").replace(",1,gal", ",0,gal").replace("USD", "EUR"),
        GOOD.replace("p1", "p3"),
    )
    text = "\n".join(found)
    assert "row 2, column price" in text
    assert "row 3, column pack" in text
    assert "two currencies: USD from row 2, EUR from row 3" in text


def test_the_same_item_twice_and_a_second_tax_are_refused(base: RuleBase, tmp_path: Path) -> None:
    text = "\n".join(faults(base, tmp_path, GOOD, GOOD, TAX, TAX))
    assert "stands in row 2 already" in text
    assert "tax is stated a second time" in text


@pytest.mark.parametrize(
    ("name", "content"),
    [("book.csv", b""), ("book.csv", b"a,b\n1,2\n"), ("book.csv", b"\xff\xfe"), ("book.xlsx", b"no workbook"),
     ("book.ods", b"x")],
)  # fmt: skip
def test_a_file_that_is_no_price_book_is_refused(base: RuleBase, tmp_path: Path, name: str, content: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(AdvisorError, match=name):
        read_pricebook(path, base, TODAY)


def test_a_workbook_reads_like_the_text_that_it_holds(base: RuleBase, book: PriceBook, tmp_path: Path) -> None:
    workbook = Workbook()
    sheet = workbook.active
    assert sheet is not None
    with demo_book().open(encoding="utf-8") as file:
        for row in csv.reader(file):
            cells: list[object] = list(row)
            if row[0] in ("goods", "hire", "labour"):
                cells[4], cells[7] = float(row[4]), float(row[7])
                cells[10] = date.fromisoformat(row[10])
            sheet.append(cells)
    workbook.save(tmp_path / "book.xlsx")
    read = read_pricebook(tmp_path / "book.xlsx", base, TODAY)
    assert (read.goods, read.hire, read.labour, read.tax) == (book.goods, book.hire, book.labour, book.tax)


def test_prices_older_than_a_year_are_flagged(base: RuleBase, tmp_path: Path) -> None:
    old = GOOD.replace("p1", "old").replace("2026-09-01", "2025-11-20")
    young = GOOD.replace("p1", "young").replace("2026-09-01", "2025-11-30")
    read = read_pricebook(write(tmp_path, old, young, TAX), base, TODAY)
    assert [each.item for each in read.older_than(1.0, TODAY)] == ["old"]


def test_packs_are_converted_by_the_definition_of_the_gallon(base: RuleBase, tmp_path: Path) -> None:
    """231 in3, NIST Handbook 44, Appendix C (from memory)."""
    read = read_pricebook(write(tmp_path, GOOD, TAX), base, TODAY)
    assert read.goods["floor_paint"][0].pack.holds == pytest.approx(231 * 2.54**3 / 1000)
    assert pytest.approx(231 * 2.54**3 / 1000) == LITRES


def test_tax_is_put_on_what_the_book_says(base: RuleBase, tmp_path: Path, make_job: MakeJob) -> None:
    text = demo_book().read_text(encoding="utf-8")
    job = make_job("floor_paint", hired=True)
    totals = {}
    for name, tax in (
        ("none", "tax,,,none,,percent added,,0,,,"),
        ("goods", "tax,,goods,tax,,percent added,,10,,,"),
        ("all", "tax,,goods hire labour,tax,,percent added,,10,,,"),
        ("included", "tax,,goods hire labour,tax,,percent included,,10,,,"),
    ):
        lines = [tax if line.startswith("tax,") else line for line in text.splitlines()]
        (tmp_path / "taxed.csv").write_text("\n".join(lines), encoding="utf-8")
        totals[name] = cost(job, read_pricebook(tmp_path / "taxed.csv", base, TODAY), HIGH)
    bare = totals["none"]
    assert totals["goods"].total == pytest.approx(
        bare.total + 0.1 * (bare.material + bare.consumables + bare.protection)
    )
    assert totals["all"].total == pytest.approx(1.1 * bare.total)
    assert totals["included"].total == pytest.approx(bare.total)


def test_a_missing_item_is_named_and_no_cost_is_given(base: RuleBase, tmp_path: Path, make_job: MakeJob) -> None:
    lines = [line for line in demo_book().read_text(encoding="utf-8").splitlines() if ",flakes," not in line]
    lines = [line for line in lines if ",mixer," not in line]
    (tmp_path / "short.csv").write_text("\n".join(lines), encoding="utf-8")
    read = read_pricebook(tmp_path / "short.csv", base, TODAY)
    with pytest.raises(Unpriced) as refused:
        shopping(make_job("epoxy_flake"), read)
    assert {word for fault in refused.value.faults for word in ("flakes", "mixer") if f'"{word}"' in fault.what} == {
        "flakes",
        "mixer",
    }


def test_a_book_without_tax_says_that_it_is_not_known(base: RuleBase, tmp_path: Path) -> None:
    read = read_pricebook(write(tmp_path, GOOD), base, TODAY)
    assert "does not say how tax is treated" in read.tax_words()
    assert "No tax" in read_pricebook(write(tmp_path, GOOD, TAX.replace("7.25", "0")), base, TODAY).tax_words()


def test_a_partial_book_comes_first_and_what_it_lacks_is_named_and_marked(base: RuleBase, tmp_path: Path) -> None:
    """Worked out apart: the shop's paint at 100 a gallon against the shipped book's 36 and 152 for five."""
    own = write(tmp_path, GOOD.replace("36.00", "100.00"), TAX)
    facts = {name: read_statement(name, said, name, TODAY) for name, said in FLOOR.items()}
    study = begin(Reasoner(base), make_case(base, facts, TODAY), TODAY, prices=own)
    lines = {line.name: line for line in shopping(study.job("floor_paint"), study.book)}
    paint = lines["floor_paint"]
    assert [each.item for each in paint.articles] == ["p1"]
    assert paint.cost == pytest.approx(100.0 * paint.choice.counts[0] * 1.0725)
    assert not any(each.filled for each in paint.articles)
    rest = [line for name, line in lines.items() if name != "floor_paint"]
    assert rest
    assert all(each.filled for line in rest for each in line.articles)
    page = as_seen(materials_page(study, "floor_paint"))
    assert "Not in book.csv, so priced from the shipped book, whose prices are invented" in page
    assert all(line.words in page for line in rest)
    assert page.count("(invented)") == len(rest)


def test_what_a_book_in_pounds_lacks_is_priced_in_pounds(base: RuleBase, tmp_path: Path) -> None:
    """The shipped book in dollars at the middle of 1.2 to 1.38 dollars a pound."""
    facts = {name: read_statement(name, said, name, TODAY) for name, said in FLOOR.items()}
    case = make_case(base, facts, TODAY)
    pounds = begin(Reasoner(base), case, TODAY, prices=write(tmp_path, GOOD.replace("USD", "GBP"), TAX))
    dollars = begin(Reasoner(base), case, TODAY)
    ours, shipped = (study.book.hire["wet_vacuum"][0].pack.price for study in (pounds, dollars))
    assert pounds.reader.currency == "GBP"
    assert ours == pytest.approx(shipped / 1.29, abs=0.5)


def test_a_book_in_money_that_nobody_can_change_is_left_open(base: RuleBase, tmp_path: Path) -> None:
    facts = {name: read_statement(name, said, name, TODAY) for name, said in FLOOR.items()}
    own = write(tmp_path, GOOD.replace("USD", "CHF"), TAX)
    study = begin(Reasoner(base), make_case(base, facts, TODAY), TODAY, prices=own)
    with pytest.raises(Unpriced, match="masking_tape"):
        shopping(study.job("floor_paint"), study.book)


def test_the_book_to_fill_in_prices_all_and_reads_once_a_price_is_in(base: RuleBase, tmp_path: Path) -> None:
    text = starter(base, "EUR", TODAY)
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    assert {(row["kind"], row["for"]) for row in rows if row["kind"] != "tax"} == {n[:2] for n in price_names(base)}
    assert not any(row["price"] for row in rows)
    path = tmp_path / "mine.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadPriceBook, match="no row with a price"):
        read_pricebook(path, base, TODAY)
    for row in rows:  # every row is right once its price is in
        row["price"] = "10"
    with path.open("w", encoding="utf-8", newline="") as file:
        written = csv.DictWriter(file, rows[0].keys())
        written.writeheader()
        written.writerows(rows)
    read = read_pricebook(path, base, TODAY)
    assert read.currency == "EUR"
    assert read.note == ""
    assert set(read.goods) == set(base.materials)


def test_a_name_that_a_spreadsheet_would_run_is_neutral_in_the_book_to_fill_in(base: RuleBase) -> None:
    own = base.materials["masking_tape"].model_copy(update={"name": "=cmd|x!A1"})
    text = starter(base.model_copy(update={"materials": {**base.materials, "own_tape": own}}), "USD", TODAY)
    (row,) = (line for line in csv.reader(text.splitlines()) if line[1:2] == ["own_tape"])
    assert "'=cmd|x!A1" in row


def test_the_shipped_book_serves_everything_and_says_that_it_is_invented(base: RuleBase, book: PriceBook) -> None:
    assert set(base.materials) == set(book.goods)
    assert set(base.hire) == set(book.hire)
    assert "nvented" in book.note


CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["", "0", "-1", "1e999", "nan", "inf", "٣", "1,000", "0.001", "1e-9", "each", "day", "tax", "=1+1"]
    ),
)


@given(row=st.integers(1, 60), column=st.integers(0, 10), cell=CELLS)
def test_whatever_stands_in_a_cell_is_read_or_refused(base: RuleBase, row: int, column: int, cell: str) -> None:
    lines = list(csv.reader(demo_book().read_text(encoding="utf-8").splitlines()))
    lines[row][column : column + 1] = [cell]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.csv"
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(lines)
        try:
            read = read_pricebook(path, base, TODAY)
        except BadPriceBook:
            return
    every = [each for group in (read.goods, read.hire, read.labour) for rows in group.values() for each in rows]
    assert all(each.pack.price > 0 and each.pack.holds > 0 for each in every)


@given(content=st.binary(max_size=200), ending=st.sampled_from([".csv", ".xlsx"]))
def test_whatever_is_in_a_file_is_refused_in_words(base: RuleBase, content: bytes, ending: str) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"book{ending}"
        path.write_bytes(content)
        with pytest.raises(BadPriceBook):
            read_pricebook(path, base, TODAY)


def test_a_workbook_with_parts_lost_or_garbled_is_read_or_refused_in_words(tmp_path: Path) -> None:
    """A part left out, emptied, cut, swapped with another, or with a few bytes put in, the archive garbled."""
    whole, rng, ended = tmp_path / "whole.xlsx", Random(13), Counter[str]()
    workbook = Workbook()
    assert workbook.active is not None
    for row in (HEAD, GOOD):
        workbook.active.append(row.split(","))
    workbook.save(whole)
    with ZipFile(whole) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    for _ in range(draws(60)):
        spoiled, name = dict(parts), rng.choice(list(parts))
        at = rng.randrange(len(parts[name]))
        spoiled[name] = rng.choice(
            (b"", parts[name][:at], parts[name][:at] + b'" <a/>' + parts[name][at:], rng.choice(list(parts.values())))
        )
        if rng.random() < 0.3:
            del spoiled[name]
        book = tmp_path / "book.xlsx"
        with ZipFile(book, "w") as archive:
            for part, content in spoiled.items():
                archive.writestr(part, content)
        if rng.random() < 0.2:
            content = bytearray(book.read_bytes())
            content[rng.randrange(len(content))] ^= 1 << rng.randrange(8)
            book.write_bytes(content)
        ended[_read_or_refused(book)] += 1
    assert min(ended["read"], ended["refused"]) > 5


def _read_or_refused(book: Path) -> str:
    try:
        read_sheet(book)
    except BadSheet:
        return "refused"
    return "read"


def test_a_workbook_of_charts_alone_is_no_table(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.create_chartsheet("only")
    workbook.remove(workbook.worksheets[0])
    workbook.save(tmp_path / "book.xlsx")
    with pytest.raises(BadSheet, match="not an Excel workbook"):
        read_sheet(tmp_path / "book.xlsx")
