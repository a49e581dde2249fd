"""The shop's own price book, CSV or XLSX: read line by line, every fault reported at once with row and column."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

from advisor.errors import Fault, nearest
from advisor.model.as_written import is_number
from advisor.model.entry import NONNEGATIVE
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity
from advisor.sent import File
from advisor.work.book_rows import BadPriceBook, read_rows
from advisor.work.packs import Pack
from advisor.work.pricebook import GROUPS, LABOUR, Article, PriceBook
from explanations.wording import wording

KINDS = (*GROUPS, "tax")
PERIODS = {"day": 1.0, "week": 7.0}
DEAREST = Decimal(10_000_000)


def demo_book() -> Path:
    """The shipped price book, which is invented."""
    return Path(__file__).parent.parent / "demo" / "prices.csv"


def read_pricebook(path: File, base: RuleBase, today: date) -> PriceBook:
    """Read and check a whole price book; a row without a price is passed over, so that it may be filled in bit by bit.

    Args:
        path: .csv (UTF-8) or .xlsx (its first sheet).
        base: for the materials and hire items that rows may serve.
        today: prices may not be dated later.

    Raises:
        BadPriceBook: with every fault, each with row and column.
    """
    rows, note = read_rows(path)
    reading = _Reading(path.name, base, today)
    for number, row in rows:
        reading.take(number, row)
    return reading.book(note)


class _Reading:
    """Takes row after row, and notes what is wrong with each."""

    def __init__(self, name: str, base: RuleBase, today: date) -> None:
        self.name, self.base, self.today = name, base, today
        self.faults: list[Fault] = []
        self.items: dict[str, int] = {}
        self.currencies: dict[str, int] = {}
        self.tax: tuple[float, frozenset[str], bool, str] | None = None
        self.groups: dict[str, dict[str, list[Article]]] = {kind: {} for kind in GROUPS}

    def take(self, number: int, row: dict[str, str]) -> None:
        """Check one row and keep its article."""
        fault = self._faulting(number)
        before = len(self.faults)
        kind = row["kind"].lower()
        if kind in KINDS and not row["price"]:  # not filled in: not known
            return
        if kind not in KINDS:
            what = wording("pricebook.no_kind", given=row["kind"])
            fault("kind", what, ", ".join(KINDS), nearest(kind, KINDS))
            return
        price = self._price(row["price"], "price", fault, percent=kind == "tax")
        if kind == "tax":
            self._take_tax(row, price, fault)
            return
        if not row["item"]:
            fault("item", wording("pricebook.item_empty"), wording("pricebook.item"))
        elif row["item"] in self.items:
            what = wording("pricebook.item_twice", item=row["item"], row=self.items[row["item"]])
            fault("item", what, wording("pricebook.once"))
        self.items.setdefault(row["item"], number)
        if re.fullmatch(r"[A-Z]{3}", row["currency"]):
            self.currencies.setdefault(row["currency"], number)
        else:
            what = wording("pricebook.no_currency", given=row["currency"])
            fault("currency", what, wording("pricebook.currency"))
        high = price
        if price is not None and row.get("price_high"):
            high = self._price(row["price_high"], "price_high", fault)
        if high is not None and price is not None and high < price:
            fault("price_high", wording("pricebook.high_below", high=row["price_high"], price=row["price"]))
        dated = self._date(row["date"], fault)
        serves, known = self._serves(kind, row["for"], fault), row["for"]
        holds = self._holds(kind, known if serves else None, row, fault)
        if len(self.faults) == before:
            assert price is not None
            assert high is not None
            assert dated is not None
            assert holds is not None
            pack = Pack(row["item"], holds, price)
            sold_as = row["unit"] if kind != "goods" else f"{row['pack']} {row['unit']}"
            article = Article(row["item"], known, row["description"], pack, sold_as, high, dated)
            self.groups[kind].setdefault(known, []).append(article)

    def _faulting(self, number: int) -> Callable[..., None]:
        where = wording("sheets.row", file=self.name, number=number)

        def fault(column: str, what: str, allowed: str = "", remedy: str = "") -> None:
            self.faults.append(Fault(wording("sheets.cell", row=where, column=column), what, allowed, remedy))

        return fault

    def _price(self, text: str, column: str, fault: Callable[..., None], percent: bool = False) -> int | None:
        plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
        if not is_number(plain):
            what = wording("pricebook.no_number", given=text[:60]) if text else wording("pricebook.item_empty")
            fault(column, what, wording("pricebook.price"))
            return None
        value = Decimal(plain)
        if value < 0 or value > DEAREST or (value == 0 and not percent):
            fault(
                column, wording("pricebook.no_price", given=text[:60]), wording("pricebook.prices", most=f"{DEAREST:,}")
            )
            return None
        if value != value.quantize(Decimal("0.01")):
            fault(column, wording("pricebook.fine", given=text[:60]), wording("pricebook.decimals"))
            return None
        return int(value * 100)

    def _date(self, text: str, fault: Callable[..., None]) -> date | None:
        try:
            dated = date.fromisoformat(text)
        except ValueError:
            fault("date", wording("pricebook.no_date", given=text[:60]), wording("pricebook.date"))
            return None
        if dated > self.today:
            fault("date", wording("pricebook.future", given=text[:60]), wording("pricebook.until", day=self.today))
        return dated

    def _serves(self, kind: str, name: str, fault: Callable[..., None]) -> bool:
        known = {"goods": [*self.base.materials], "hire": [*self.base.hire], "labour": [*LABOUR]}[kind]
        if name not in known:
            remedy = f"{nearest(name, known)} {wording('pricebook.all_names')}".strip()
            fault("for", wording("pricebook.serves_nothing", kind=kind, name=name), remedy=remedy)
        return name in known

    def _holds(self, kind: str, serves: str | None, row: dict[str, str], fault: Callable[..., None]) -> float | None:
        """What a pack holds, in the unit that the work counts in."""
        if not is_number(row["pack"]):
            fault("pack", wording("pricebook.no_number", given=row["pack"][:60]), wording("pricebook.pack"))
            return None
        size = Decimal(row["pack"])
        if not 0 < size <= DEAREST:
            fault("pack", wording("pricebook.no_pack", given=row["pack"][:60]), wording("pricebook.more_than_nothing"))
            return None
        if kind in ("hire", "labour"):
            periods = PERIODS if kind == "hire" else {"hour": 1.0}
            if row["unit"] not in periods:
                fault("unit", wording("pricebook.not_counted", given=row["unit"], kind=kind), ", ".join(periods))
                return None
            return float(size) * periods[row["unit"]]
        if serves is None:
            return None
        material = self.base.materials[serves]
        if material.unit == "each":
            if row["unit"] != "each" or size != int(size):
                fault("unit", wording("pricebook.whole", item=serves), "each")
                return None
            return float(size)
        if (row.get("parts", "") or "1") != material.parts:
            kit, given = "yes" if material.parts == "2" else "no", row.get("parts", "")
            what = wording("pricebook.parts", given=given, kit=kit, item=serves, parts=material.parts)
            fault("parts", what, material.parts)
            return None
        try:
            return read_quantity(f"{row['pack']} {row['unit']}", material.unit, NONNEGATIVE).low
        except NotAQuantity as error:
            what = wording("pricebook.no_unit", given=row["unit"], item=serves, why=error)
            fault("unit", what, wording("pricebook.unit", unit=material.unit))
            return None

    def _take_tax(self, row: dict[str, str], percent: int | None, fault: Callable[..., None]) -> None:
        on = frozenset(row["for"].replace(",", " ").split())
        if self.tax is not None:
            fault("kind", wording("pricebook.tax_twice"), wording("pricebook.tax_once"))
        if on - set(GROUPS):
            fault("for", wording("pricebook.not_taxed", given=row["for"]), " ".join(GROUPS))
        if row["unit"] not in ("percent added", "percent included"):
            fault("unit", wording("pricebook.tax_unclear", given=row["unit"]), wording("pricebook.tax_units"))
        if percent is not None and percent > 10_000:
            fault("price", wording("pricebook.no_such_tax", given=row["price"]), wording("pricebook.percents"))
        countries = self.base.facts["country"].choices if "country" in self.base.facts else ()
        if row["item"] and row["item"] not in countries:
            allowed = wording("pricebook.countries", names=", ".join(countries))
            fault("item", wording("pricebook.no_country", given=row["item"]), allowed)
        self.tax = ((percent or 0) / 100.0, on, row["unit"] == "percent included", row["item"])

    def book(self, note: str) -> PriceBook:
        """The book, if nothing was wrong."""
        if len(self.currencies) > 1:
            found = [wording("pricebook.currency_from", code=code, row=row) for code, row in self.currencies.items()]
            where, what = (
                wording("pricebook.column_currency", book=self.name),
                wording("pricebook.two_currencies", places=", ".join(found)),
            )
            self.faults.append(Fault(where, what, wording("pricebook.one_currency")))
        if self.faults:
            raise BadPriceBook(self.faults)
        if not self.currencies:
            raise BadPriceBook([Fault(self.name, wording("pricebook.no_prices"), ", ".join(KINDS))])
        tax, taxed, included, country = self.tax or (0.0, frozenset[str](), False, "")
        groups = {kind: {name: tuple(rows) for name, rows in group.items()} for kind, group in self.groups.items()}
        return PriceBook(
            self.name,
            next(iter(self.currencies)),
            tax,
            taxed,
            included,
            note,
            country,
            **groups,
            tax_known=self.tax is not None,
        )
