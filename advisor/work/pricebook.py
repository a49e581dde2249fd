"""The shop's own price book, CSV or XLSX: read line by line, every fault reported at once with row and column."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path

from advisor.errors import Fault, nearest
from advisor.model.entry import NONNEGATIVE
from advisor.model.knowledge import UNKNOWN, RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity
from advisor.physics.bounds import Interval
from advisor.work.book_rows import BadPriceBook, read_rows
from advisor.work.packs import Pack

KINDS = ("goods", "hire", "labour", "tax")
PERIODS = {"day": 1.0, "week": 7.0}
TAXED = ("goods", "hire", "labour")
LABOUR = ("crew",)
DEAREST = Decimal(10_000_000)


@dataclass(frozen=True)
class Article:
    """A row of the book: what it is, what it serves, and its price."""

    item: str
    serves: str
    description: str
    pack: Pack  # of goods in the material's unit; of hire in days; of labour in hours
    sold_as: str  # "3 gal", "day"
    price_high: int
    dated: date


@dataclass(frozen=True)
class PriceBook:
    """Articles by what they serve; currency and tax."""

    name: str
    currency: str
    tax: float  # percent
    taxed: frozenset[str]  # which of goods, hire, labour
    tax_included: bool
    note: str
    tax_in: str = ""  # the country whose tax it is; empty: it is due wherever the book is used
    goods: dict[str, tuple[Article, ...]] = field(default_factory=dict)
    hire: dict[str, tuple[Article, ...]] = field(default_factory=dict)
    labour: dict[str, tuple[Article, ...]] = field(default_factory=dict)

    def taxes(self, kind: str) -> float:
        """Factor that tax puts on a price of this kind."""
        return 1.0 if self.tax_included or kind not in self.taxed else 1.0 + self.tax / 100.0

    def older_than(self, years: float, today: date) -> list[Article]:
        """Articles whose price is older than so many years."""
        groups = (self.goods, self.hire, self.labour)
        every = [each for group in groups for articles in group.values() for each in articles]
        return [each for each in every if (today - each.dated).days > years * 365.25]

    def used_in(self, country: str) -> PriceBook:
        """The book as it holds for a floor in that country: another country's tax is not due there."""
        return replace(self, tax=0.0) if self.tax_in and country not in (self.tax_in, UNKNOWN) else self

    def tax_words(self) -> str:
        """How tax is treated, in a sentence."""
        if self.tax_in and not self.tax:
            return "No tax is in these figures; what is due where the floor is comes on top."
        if not self.tax:
            return "No tax is in these figures."
        how = "included" if self.tax_included else "added"
        return f"{self.tax:g} % tax is {how}, on {', '.join(sorted(self.taxed))}."


def demo_book() -> Path:
    """The shipped price book, which is invented."""
    return Path(__file__).parent.parent / "demo" / "prices.csv"


def read_pricebook(path: Path, base: RuleBase, today: date) -> PriceBook:
    """Read and check a whole price book.

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
        self.groups: dict[str, dict[str, list[Article]]] = {"goods": {}, "hire": {}, "labour": {}}

    def take(self, number: int, row: dict[str, str]) -> None:
        """Check one row and keep its article."""
        fault = self._faulting(number)
        before = len(self.faults)
        kind = row["kind"].lower()
        if kind not in KINDS:
            fault("kind", f'"{row["kind"]}" is not a kind of row', ", ".join(KINDS), nearest(kind, KINDS))
            return
        price = self._price(row["price"], "price", fault, percent=kind == "tax")
        if kind == "tax":
            self._take_tax(row, price, fault)
            return
        if not row["item"]:
            fault("item", "it is empty", "the article's number or name")
        elif row["item"] in self.items:
            fault("item", f'"{row["item"]}" stands in row {self.items[row["item"]]} already', "each item once")
        self.items.setdefault(row["item"], number)
        if re.fullmatch(r"[A-Z]{3}", row["currency"]):
            self.currencies.setdefault(row["currency"], number)
        else:
            fault("currency", f'"{row["currency"]}" is not a currency code', "three capitals, such as USD")
        high = price
        if price is not None and row.get("price_high"):
            high = self._price(row["price_high"], "price_high", fault)
        if high is not None and price is not None and high < price:
            fault("price_high", f"{row['price_high']} is less than the price, {row['price']}")
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
        def fault(column: str, what: str, allowed: str = "", remedy: str = "") -> None:
            self.faults.append(Fault(f"{self.name}, row {number}, column {column}", what, allowed, remedy))

        return fault

    def _price(self, text: str, column: str, fault: Callable[..., None], percent: bool = False) -> int | None:
        plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
        try:
            value = Decimal(plain)
        except InvalidOperation:
            fault(column, f'"{text}" is not a number' if text else "it is empty", "a plain number, such as 129.00")
            return None
        if not value.is_finite() or value < 0 or value > DEAREST or (value == 0 and not percent):
            fault(column, f"{text} cannot be a price", f"more than 0, up to {DEAREST:,}")
            return None
        if value != value.quantize(Decimal("0.01")):
            fault(column, f"{text} is finer than a hundredth", "two decimals at most")
            return None
        return int(value * 100)

    def _date(self, text: str, fault: Callable[..., None]) -> date | None:
        try:
            dated = date.fromisoformat(text)
        except ValueError:
            fault("date", f'"{text}" is not a date', "year-month-day, such as 2026-03-31")
            return None
        if dated > self.today:
            fault("date", f"{text} lies in the future", f"up to {self.today}")
        return dated

    def _serves(self, kind: str, name: str, fault: Callable[..., None]) -> bool:
        known = {"goods": [*self.base.materials], "hire": [*self.base.hire], "labour": [*LABOUR]}[kind]
        if name not in known:
            remedy = f"{nearest(name, known)} All: advisor price-names".strip()
            fault("for", f'there is no {kind} "{name}"', remedy=remedy)
        return name in known

    def _holds(self, kind: str, serves: str | None, row: dict[str, str], fault: Callable[..., None]) -> float | None:
        """What a pack holds, in the unit that the work counts in."""
        try:
            size = Decimal(row["pack"])
        except InvalidOperation:
            fault("pack", f'"{row["pack"]}" is not a number', "how much one pack holds, such as 3")
            return None
        if not size.is_finite() or not 0 < size <= DEAREST:
            fault("pack", f"a pack of {row['pack']} cannot be", "more than 0")
            return None
        if kind in ("hire", "labour"):
            periods = PERIODS if kind == "hire" else {"hour": 1.0}
            if row["unit"] not in periods:
                fault("unit", f'"{row["unit"]}" is not how {kind} is counted', ", ".join(periods))
                return None
            return float(size) * periods[row["unit"]]
        if serves is None:
            return None
        material = self.base.materials[serves]
        if material.unit == "each":
            if row["unit"] != "each" or size != int(size):
                fault("unit", f"{serves} comes in whole pieces", "each")
                return None
            return float(size)
        if (row.get("parts", "") or "1") != material.parts:
            what = f"{serves} is a kit of {material.parts} components" if material.parts == "2" else "it is no kit"
            fault("parts", f'"{row.get("parts", "")}": {what}; kits are never split', material.parts)
            return None
        try:
            return read_quantity(f"{row['pack']} {row['unit']}", material.unit, NONNEGATIVE).low
        except NotAQuantity as error:
            fault("unit", f'"{row["unit"]}" for {serves}: {error}', f"a unit that {material.unit} can be worked out of")
            return None

    def _take_tax(self, row: dict[str, str], percent: int | None, fault: Callable[..., None]) -> None:
        on = frozenset(row["for"].replace(",", " ").split())
        if self.tax is not None:
            fault("kind", "tax is stated a second time", "one row of kind tax")
        if on - set(TAXED):
            fault("for", f'"{row["for"]}" cannot be taxed here', " ".join(TAXED))
        if row["unit"] not in ("percent added", "percent included"):
            fault("unit", f'"{row["unit"]}" does not say how tax is treated', "percent added, percent included")
        if percent is not None and percent > 10_000:
            fault("price", f"a tax of {row['price']} % cannot be", "0 to 100")
        countries = self.base.facts["country"].choices if "country" in self.base.facts else ()
        if row["item"] and row["item"] not in countries:
            fault("item", f'"{row["item"]}" is no country whose tax this can be', f"empty, {', '.join(countries)}")
        self.tax = ((percent or 0) / 100.0, on, row["unit"] == "percent included", row["item"])

    def book(self, note: str) -> PriceBook:
        """The book, if nothing was wrong."""
        if len(self.currencies) > 1:
            places = ", ".join(f"{code} from row {number}" for code, number in self.currencies.items())
            self.faults.append(
                Fault(f"{self.name}, column currency", f"there are two currencies: {places}", "one currency a book")
            )
        if self.tax is None:
            remedy = "Add a row `tax,,goods hire,,,percent added,,7.25,,,` (a price of 0 where none is due)."
            self.faults.append(Fault(self.name, "no row of kind tax says how tax is treated", remedy=remedy))
        if self.faults or self.tax is None:
            raise BadPriceBook(self.faults)
        if not self.currencies:
            raise BadPriceBook([Fault(self.name, "there is no row with a price", ", ".join(KINDS))])
        tax, taxed, included, country = self.tax
        groups = {kind: {name: tuple(rows) for name, rows in group.items()} for kind, group in self.groups.items()}
        return PriceBook(self.name, next(iter(self.currencies)), tax, taxed, included, note, country, **groups)


def serving(book: PriceBook, group: str, name: str) -> tuple[Article, ...]:
    """The articles that serve a material, hire item or trade; empty if the book has none."""
    found: dict[str, tuple[Article, ...]] = getattr(book, group)
    return found.get(name, ())


def price_names(base: RuleBase) -> Iterator[tuple[str, str, str]]:
    """What rows of a price book may serve: kind, name, and its unit with a description."""
    for name, material in base.materials.items():
        kit = ", sold as a kit (parts 2)" if material.parts == "2" else ""
        yield "goods", name, f"{material.name}, counted in {material.unit}{kit}"
    for name, item in base.hire.items():
        yield "hire", name, item.name
    for name in LABOUR:
        yield "labour", name, "one person of a hired crew, by the hour"


def rates(articles: tuple[Article, ...]) -> Interval:
    """Lowest and highest price of one unit, in the currency."""
    return Interval(
        min(each.pack.price / each.pack.holds for each in articles) / 100.0,
        max(each.price_high / each.pack.holds for each in articles) / 100.0,
    )
