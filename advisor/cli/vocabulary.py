"""Verbs about the facts of a floor: facts, new."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import RulesOption, app, rule_base


@app.command()
def facts(
    names: Annotated[list[str] | None, typer.Argument(help="Only these facts; all if none is named.")] = None,
    rules: RulesOption = None,
) -> None:
    """List the facts that a case may state: the question, what is allowed, how to find out, why it matters."""
    from advisor.reference.glossary import explain_facts

    typer.echo(explain_facts(rule_base(rules), names or []))


@app.command()
def new(
    file: Annotated[Path, typer.Argument(help="The file to write; it must not exist yet.")],
    rules: RulesOption = None,
) -> None:
    """Write a blank case to fill in, with every fact explained."""
    from advisor.reference.glossary import write_blank_case
    from explanations.wording import wording

    write_blank_case(rule_base(rules), file)
    typer.echo(wording("cli.ready", file=file), err=True)
