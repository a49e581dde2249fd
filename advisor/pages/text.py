"""A page as text for a terminal: readable at 80 columns, without colour, and in a pipe."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.rule import Rule as Line
from rich.table import Table as Grid
from rich.text import Text

from advisor.pages.blocks import Block, Heading, Listing, Notice, Page, Paragraph, Picture, Table

NARROWEST = 40  # columns: in fewer, lines run over, but nothing of a hazard is lost


def terminal(stderr: bool = False) -> Console:
    """Where pages are printed: as wide as the terminal is, 80 columns where there is none, never too narrow to read."""
    console = Console(highlight=False, stderr=stderr)
    console.width = max(console.width, NARROWEST)
    return console


def print_page(page: Page, console: Console) -> None:
    """Print a page; without a terminal, without the blanks that pad its lines."""
    with console.capture() as capture:
        for block in page.blocks:
            for part in _parts(block):
                console.print(part)
    text = capture.get()
    console.file.write(text if console.is_terminal else "".join(f"{line.rstrip()}\n" for line in text.splitlines()))


def _parts(block: Block) -> Iterator[RenderableType]:
    match block:
        case Heading(text, 1):
            yield Line(Text(text, style="bold"), align="left", characters="-")
        case Heading(text):
            yield Text("")
            yield Text(text, style="bold")
        case Paragraph(text, strong):
            yield Padding(Text(text, style="bold" if strong else ""), (0, 0, 0, 2))
        case Listing(items, numbered):
            for number, item in enumerate(items, start=1):
                yield _item(f"{number}." if numbered else "-", item)
        case Notice(title, items):
            yield Text("")
            yield Text(title, style="bold red")
            for item in items:
                yield _item("!", item)
        case Table():
            yield _table(block)
        case Picture(_, alt, _):
            yield Padding(Text(alt), (0, 0, 0, 2))


def _item(lead: str, text: str) -> RenderableType:
    grid = Grid.grid(padding=(0, 1))
    grid.add_row(Text(f"  {lead}"), Text(text))
    return grid


def _table(table: Table) -> RenderableType:
    grid = Grid(box=None, padding=(0, 1), show_edge=False, header_style="bold")
    for index, name in enumerate(table.head):
        ratio = table.widths[index] if table.widths else None
        grid.add_column(name, justify="right" if index in table.figures else "left", ratio=ratio, overflow="fold")
    for row in table.rows:
        grid.add_row(*(Text(cell) for cell in row))
    return grid
