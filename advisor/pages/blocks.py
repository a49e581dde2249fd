"""The parts of a page: headings, paragraphs, lists, notices, tables and pictures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

WIDE = 120  # characters of a line on paper at 10 points


@dataclass(frozen=True)
class Heading:
    """A title (level 1) or a section's head (level 2)."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Paragraph:
    """Plain sentences; `strong` for what must not be missed."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Item:
    """An item of a list, with what stands below it."""

    text: str
    below: tuple[str, ...] = ()


@dataclass(frozen=True)
class Listing:
    """Items, numbered or not."""

    items: tuple[str | Item, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Notice:
    """A framed warning: its title and what it says."""

    title: str
    items: tuple[str | Item, ...]


@dataclass(frozen=True)
class Term:
    """A word at the margin, and beside it what there is to say under it; `strong` for what must not be missed."""

    name: str
    items: tuple[str, ...]
    numbered: bool = False
    strong: bool = False

    def leads(self) -> Iterator[tuple[str, str]]:
        """Each item with what stands before it: nothing before a single one."""
        for number, item in enumerate(self.items, start=1):
            yield "" if len(self.items) == 1 else f"{number}." if self.numbered else "-", item


@dataclass(frozen=True)
class Terms:
    """A list of terms: much on one screen, each under its word."""

    terms: tuple[Term, ...]


@dataclass(frozen=True)
class Table:
    """A table; columns in `figures` are set to the right. `widths` are relative; 0 is as wide as what stands in it."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: frozenset[int] = frozenset()
    widths: tuple[int, ...] = ()


@dataclass(frozen=True)
class Picture:
    """A picture as SVG, what it shows in words (text forms give those), and its width in percent of the page's."""

    svg: str
    alt: str
    width: int = 80


@dataclass(frozen=True)
class Letterhead:
    """Who writes, at the head of a letter: the name, lines below it, and a logo (its content, and png, jpg or svg)."""

    name: str
    lines: tuple[str, ...] = ()
    logo: bytes = b""
    kind: str = ""


@dataclass(frozen=True)
class Lines:
    """Lines that stay as they are: an addressee, a signature."""

    lines: tuple[str, ...]


def whole(item: str | Item) -> Item:
    """An item, whether or not something stands below it."""
    return item if isinstance(item, Item) else Item(item)


Block = Heading | Paragraph | Listing | Notice | Terms | Table | Picture | Letterhead | Lines


@dataclass(frozen=True)
class Page:
    """A page to be written: its blocks, and whether it lies on its side, its footer."""

    title: str
    blocks: tuple[Block, ...]
    landscape: bool = False
    footer: str = ""  # one line at the foot of each sheet

    def lines(self, wide: int = WIDE) -> float:
        """About how many lines it takes on paper, of so many characters.

        Fitted to 104 letters set at 10 points: their heights lie within 3 lines of it, of some 60 to 140.
        """
        total = 0.0
        for block in self.blocks:
            match block:
                case Heading(text, level):
                    total += 1.4 * _rows(text, wide * 5 // 8) + 0.5 if level == 1 else _rows(text, wide) + 0.5
                case Paragraph(text):
                    total += _rows(text, wide)
                case Listing(items):
                    total += _rows_of(items, wide) + 0.25
                case Notice(_, items):
                    total += _rows_of(items, wide) + 2
                case Table(head, rows, _, widths):
                    shares = widths or (1,) * len(head)
                    columns = [max(1, wide * share // sum(shares)) for share in shares]
                    total += sum(max(map(_rows, row, columns)) + 0.5 for row in (head, *rows))
                case Lines(lines):
                    total += len(lines)
                case Letterhead(_, lines):
                    total += len(lines) + 1.3
                case _:
                    pass
        return total

    def words(self) -> str:
        """The running text without tables and pictures, for measuring how easy it reads."""
        texts: list[str] = []
        for block in self.blocks:
            match block:
                case Paragraph(text):
                    texts.append(text)
                case Listing(items) | Notice(_, items):
                    texts += [text for item in map(whole, items) for text in (item.text, *item.below)]
                case Terms(terms):
                    texts += [text for term in terms for text in term.items]
                case _:
                    pass
        return "\n".join(texts)


def _rows(text: str, wide: int) -> int:
    return max(1, math.ceil(len(text) / wide))


def _rows_of(items: Iterable[str | Item], wide: int) -> int:
    of_item = (
        _rows(each.text, wide - 4) + sum(_rows(text, wide - 8) for text in each.below) for each in map(whole, items)
    )
    return sum(of_item)
