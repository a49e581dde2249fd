"""Where a page goes: onto the terminal, or into a file."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from explanations.wording import wording

if TYPE_CHECKING:
    from advisor.pages.blocks import Page


class PaperSize(StrEnum):
    """Which paper a PDF is set on."""

    letter = "letter"
    a4 = "a4"


PaperOption = Annotated[PaperSize, typer.Option(help="Paper of a PDF.")]
RoomOption = Annotated[list[str] | None, typer.Option("--room", help="A room, as '20 ft x 22 ft'; may be repeated.")]
PricesOption = Annotated[Path | None, typer.Option(help="Your price book, .csv or .xlsx; else the invented one.")]
OutOption = Annotated[Path | None, typer.Option(help="Write the page to this file: .md, .html or .pdf.")]


def give(page: Page, out: Path | None, paper: PaperSize, sheets: int | None = None) -> None:
    """Print a page, or write it to a file; of a PDF on at most so many sheets."""
    if out is None:
        from advisor.pages.text import print_page, terminal

        print_page(page, terminal())
        return
    from advisor.pages.files import write_page

    write_page(page, out, paper.value, sheets)
    typer.echo(wording("page.written", file=out), err=True)
