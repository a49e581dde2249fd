"""A page as text for a terminal: readable at 80 columns, without colour, and in a pipe."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rich.cells import cell_len
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.rule import Rule as Line
from rich.table import Table as Grid
from rich.text import Text

from advisor.pages.blocks import (
    Block,
    Heading,
    Item,
    Letterhead,
    Lines,
    Listing,
    Notice,
    Page,
    Paragraph,
    Picture,
    Table,
    Term,
    Terms,
    whole,
)

USUAL = 80  # columns
LINE_BESIDE = 4  # columns that a title leaves to the line beside it
NARROWEST = 40  # columns: in fewer, lines run over, but nothing of a hazard is lost


def terminal(stderr: bool = False) -> Console:
    """Where pages are printed: as wide as the terminal is, 80 columns where there is none, never too narrow to read."""
    console = Console(highlight=False, stderr=stderr)
    console.width = max(console.width, NARROWEST)
    return console


def print_page(page: Page, console: Console) -> None:
    """Print a page; without a terminal, without the blanks that pad its lines."""
    text = _written(page, console)
    console.file.write(text if console.is_terminal else "".join(f"{line.rstrip()}\n" for line in text.splitlines()))


def length(page: Page) -> int:
    """How many lines it takes where nothing is known of the terminal, at 80 columns."""
    return len(_written(page, Console(highlight=False, width=USUAL)).splitlines())


def _written(page: Page, console: Console) -> str:
    with console.capture() as capture:
        for before, block in pairwise((None, *page.blocks)):
            for part in _parts(block, before, console.width):
                console.print(part)
        if page.footer:
            console.print(Padding(Text(page.footer), (1, 0, 0, 2)))
    return capture.get()


def _parts(block: Block | None, before: Block | None, width: int) -> Iterator[RenderableType]:
    match block:
        case Heading(text, 1) if cell_len(text) > width - LINE_BESIDE:  # beside it the line would cut it short
            yield Text(text, style="bold")
            yield Line(characters="-")
        case Heading(text, 1):
            yield Line(Text(text, style="bold"), align="left", characters="-")
        case Heading(text):
            if not isinstance(before, Heading):  # right below the title no line is left empty
                yield Text("")
            yield Text(text, style="bold")
        case Paragraph(text, strong):
            yield Padding(Text(text, style="bold" if strong else ""), (0, 0, 0, 2))
        case Listing(items, numbered):
            for number, item in enumerate(items, start=1):
                yield from _item(f"{number}." if numbered else "-", item)
        case Notice(title, items):
            if not isinstance(before, Heading):
                yield Text("")
            yield Text(title, style="bold red")
            for item in items:
                yield from _item("!", item)
        case Terms(terms):
            yield _terms(terms)
        case Table():
            yield _table(block)
        case Letterhead(name, lines):
            yield Padding(Text(name, style="bold"), (0, 0, 0, 2))
            yield Padding(Text("\n".join(lines)), (0, 0, 1, 2))
        case Lines(lines):
            yield Padding(Text("\n".join(lines)), (1, 0, 0, 2))
        case Picture(_, alt, _):
            yield Padding(Text(alt), (0, 0, 0, 2))


def _item(lead: str, item: str | Item) -> Iterator[RenderableType]:
    text, below = whole(item).text, whole(item).below
    grid = Grid.grid(padding=(0, 1))
    grid.add_row(Text(f"  {lead}"), Text(text))
    yield grid
    for each in below:
        yield Padding(Text(each), (0, 0, 0, 3 + len(lead)))


def _terms(terms: tuple[Term, ...]) -> RenderableType:
    grid = Grid.grid(padding=(0, 1))
    grid.add_column(no_wrap=True)
    grid.add_column()
    for term in terms:
        for place, (lead, item) in enumerate(term.leads()):
            said: RenderableType = Text(item, style="bold" if term.strong else "")
            if lead:
                inner = Grid.grid(padding=(0, 1))
                inner.add_row(Text(lead), said)
                said = inner
            grid.add_row(Text("" if place else term.name, style="bold"), said)
    return grid


def _table(table: Table) -> RenderableType:
    grid = Grid(box=None, padding=(0, 1), show_edge=False, header_style="bold")
    for index, name in enumerate(table.head):
        ratio = (table.widths[index] or None) if table.widths else None
        grid.add_column(name, justify="right" if index in table.figures else "left", ratio=ratio, overflow="fold")
    for row in table.rows:
        grid.add_row(*(Text(cell) for cell in row))
    return grid
