"""Verbs about the facts of a floor: facts, new."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import JsonOption, RulesOption, app, print_data, rule_base
from explanations.wording import wording


@app.command()
def facts(
    names: Annotated[list[str] | None, typer.Argument(help="Only these facts; all if none is named.")] = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
) -> None:
    """List the facts that a case may state: the question, what is allowed, how to find out, why it matters."""
    if as_json:
        from advisor.reference.fact_list import fact_list

        print_data(fact_list(rule_base(rules), names or []))
        return
    from advisor.reference.glossary import explain_facts

    typer.echo(explain_facts(rule_base(rules), names or []))


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="The file to write; it must not exist yet.")],
    product: Annotated[
        bool, typer.Option("--product", help="A maker's data sheet to fill in instead, with every entry explained.")
    ] = False,
    every: Annotated[bool, typer.Option("--all", help="The whole form: every fact explained.")] = False,
    rules: RulesOption = None,
) -> None:
    """Write a blank case to fill in: what a conversation begins with; --all has every fact explained."""
    from advisor.reference.glossary import blank_case, short_case, write_blank

    base = rule_base(rules)
    if product:
        from advisor.rulebase.data_sheets import starter_sheet

        write_blank(starter_sheet(base), file)
        typer.echo(wording("product.ready", file=file), err=True)
        return
    write_blank((blank_case if every else short_case)(base), file)
    typer.echo(wording("cli.ready", file=file), err=True)
