"""Verbs for what comes before and after a crew: `quote` and `care`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import JsonOption, app, print_data
from advisor.cli.floor_options import Asked, about_a_floor
from advisor.cli.giving import give
from advisor.cli.plan import FinishArgument


@app.command()
@about_a_floor
def quote(
    asked: Asked,
    file: Annotated[
        Path, typer.Argument(help="The quote, typed in: area, preparation, coats, dry_thickness, top_coat, price, ...")
    ],
    as_json: JsonOption = False,
) -> None:
    """Check a contractor's quote: what is missing or odd, what to ask before signing, what to agree on."""
    from advisor.pages.quote_page import quote_page, quote_record
    from advisor.work.quote import check_quote
    from advisor.work.quote_reading import read_quote

    study = asked.study()
    read = read_quote(file, study.base, study.book.currency)
    check = check_quote(study, study.chosen(read.finish or None), read)
    if as_json:
        print_data(quote_record(study, check))
    else:
        give(quote_page(study, check), asked.out, asked.paper)


@app.command()
@about_a_floor
def care(asked: Asked, finish: FinishArgument = None, as_json: JsonOption = False) -> None:
    """Tell how a finish is kept: what to do, how often, with which cleaner, and what the years cost."""
    from advisor.pages.care_page import care_page, care_record

    study = asked.study()
    chosen = study.chosen(finish)
    if as_json:
        print_data(care_record(study, chosen))
    else:
        give(care_page(study, chosen), asked.out, asked.paper)
