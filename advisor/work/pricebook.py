"""A price book: articles by what they serve, with prices in one currency, and how tax is treated."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from advisor.model.entry import UNKNOWN
from advisor.physics.bounds import Interval
from advisor.work.packs import Pack
from explanations.wording import listed, wording

GROUPS = ("goods", "hire", "labour")
LABOUR = ("crew",)


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
    filled: bool = False  # from the shipped book, because the shop's own has no such row

    def times(self, factor: float) -> Article:
        """The same at a price so many times as high."""
        pack = replace(self.pack, price=max(1, round(self.pack.price * factor)))
        return replace(self, pack=pack, price_high=max(pack.price, round(self.price_high * factor)))


Articles = dict[str, tuple[Article, ...]]  # by what they serve


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
    goods: Articles = field(default_factory=dict)
    hire: Articles = field(default_factory=dict)
    labour: Articles = field(default_factory=dict)
    tax_known: bool = True

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

    def told_in(self, currency: str, worth: float) -> PriceBook:
        """The book in another currency, one of which is taken for so much of its own: for prices that are invented."""
        if currency == self.currency:
            return self

        def told(group: Articles) -> Articles:
            return {name: tuple(each.times(1.0 / worth) for each in some) for name, some in group.items()}

        goods, hire, labour = told(self.goods), told(self.hire), told(self.labour)
        return replace(self, currency=currency, goods=goods, hire=hire, labour=labour)

    def filled_from(self, shipped: PriceBook) -> PriceBook:
        """The book with what it lacks from the shipped one, in the same currency, each such article marked."""

        def filled(own: Articles, rest: Articles) -> Articles:
            lacking = {name: tuple(replace(each, filled=True) for each in some) for name, some in rest.items()}
            return {**lacking, **own}

        goods, hire, labour = (filled(getattr(self, each), getattr(shipped, each)) for each in GROUPS)
        return replace(self, goods=goods, hire=hire, labour=labour)

    def tax_words(self) -> str:
        """How tax is treated, in a sentence."""
        if not self.tax_known:
            return wording("pricebook.tax_unknown")
        if self.tax_in and not self.tax:
            return wording("pricebook.no_tax_here")
        if not self.tax:
            return wording("pricebook.no_tax")
        included = "yes" if self.tax_included else "no"
        return wording("pricebook.tax", percent=f"{self.tax:g}", included=included, on=listed(sorted(self.taxed)))


def serving(book: PriceBook, group: str, name: str) -> tuple[Article, ...]:
    """The articles that serve a material, hire item or trade; empty if the book has none."""
    found: dict[str, tuple[Article, ...]] = getattr(book, group)
    return found.get(name, ())


def rates(articles: tuple[Article, ...]) -> Interval:
    """Lowest and highest price of one unit, in the currency."""
    return Interval(
        min(each.pack.price / each.pack.holds for each in articles) / 100.0,
        max(each.price_high / each.pack.holds for each in articles) / 100.0,
    )
