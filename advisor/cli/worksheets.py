"""Verb for the physics by hand: work."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import JsonOption, RulesOption, UnitsOption, app, rule_base


@app.command()
def work(
    name: Annotated[str | None, typer.Argument(help="The worksheet; without it, all are listed.")] = None,
    inputs: Annotated[
        list[str] | None,
        typer.Argument(help='Inputs as NAME=VALUE, such as air_temperature="20 C"; "?" explains them.'),
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Also draw the sheet's picture: .svg, .png or .pdf.")] = None,
    as_json: JsonOption = False,
    units: UnitsOption = None,
    rules: RulesOption = None,
) -> None:
    """Work a small calculation by hand: inputs with units, steps, result and source."""
    from advisor.worksheets.running import explain_sheet, find_sheet, list_sheets, run_sheet
    from explanations.reading import Reading, write_for
    from explanations.wording import wording

    if units:
        write_for(Reading(units.value))
    if name is None:
        typer.echo(list_sheets())
    elif inputs == ["?"] or not (inputs or picture or as_json):
        typer.echo(explain_sheet(find_sheet(name), rule_base(rules)))
    else:
        typer.echo(run_sheet(find_sheet(name), inputs or [], picture, as_json, rule_base(rules)))
        if picture:
            typer.echo(wording("cli.picture_is_in", file=picture), err=True)
