"""The parts of a page: headings, paragraphs, lists, notices, tables and pictures."""

from __future__ import annotations

from dataclasses import dataclass


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
class Listing:
    """Items, numbered or not."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Notice:
    """A framed warning: its title and what it says."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table; columns in `figures` are set to the right. `widths` are relative."""

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


Block = Heading | Paragraph | Listing | Notice | Table | Picture


@dataclass(frozen=True)
class Page:
    """A page to be written: its blocks, and whether it lies on its side."""

    title: str
    blocks: tuple[Block, ...]
    landscape: bool = False

    def words(self) -> str:
        """The running text without tables and pictures, for measuring how easy it reads."""
        texts: list[str] = []
        for block in self.blocks:
            match block:
                case Paragraph(text):
                    texts.append(text)
                case Listing(items) | Notice(_, items):
                    texts += items
                case _:
                    pass
        return "\n".join(texts)
