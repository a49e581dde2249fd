"""Verbs about the advice for one floor, and about answers as data: advise, schema."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import (
    CaseArgument,
    JsonOption,
    ProductOption,
    RulesOption,
    UnitsOption,
    app,
    print_data,
    read_floor,
    rule_base,
)
from advisor.cli.giving import OutOption, PaperOption, PaperSize, give


@app.command()
def advise(
    case: CaseArgument,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
    graph: Annotated[Path | None, typer.Option(help="Also draw the explanation: .svg, .png, .pdf or .dot.")] = None,
    paper: PaperOption = PaperSize.letter,
    out: OutOption = None,
) -> None:
    """Recommend a finish for one floor, with reasons, hazards and what to find out next."""
    from advisor.asking.advice import advise_fully
    from advisor.engines.reasoning import Reasoner

    if graph:
        from explanations.pictures import check_picture

        check_picture(graph)
    if out:
        from advisor.pages.files import check_file

        check_file(out)
    base = rule_base(rules, products=product)
    advice = advise_fully(Reasoner(base), read_floor(case, base, units))
    if as_json:
        print_data(advice)
    else:
        from advisor.pages.advice_report import advice_page

        give(advice_page(advice), out, paper)
    if graph:
        from advisor.answer.picturing import draw_advice
        from explanations.wording import wording

        draw_advice(advice, base, graph)
        typer.echo(wording("cli.explanation_is_in", file=graph), err=True)


@app.command()
def schema(
    name: Annotated[str | None, typer.Argument(help="Of what; without it, all that have a schema are listed.")] = None,
    rules: RulesOption = None,
) -> None:
    """Print the JSON Schema of what a verb prints with --json, or of a case file."""
    import json

    from advisor.cli.schemas import json_schema, list_schemas

    if name is None:
        typer.echo(list_schemas())
    else:
        typer.echo(json.dumps(json_schema(name, lambda: rule_base(rules)), indent=2, ensure_ascii=False))
