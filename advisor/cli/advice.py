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
    rule_base,
)
from advisor.cli.giving import OutOption, PaperOption, PaperSize, PricesOption, RoomOption, give


@app.command()
def advise(
    case: CaseArgument,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
    full: Annotated[bool, typer.Option("--full", help="All of it: every reason, hazard and finish.")] = False,
    room: RoomOption = None,
    prices: PricesOption = None,
    graph: Annotated[Path | None, typer.Option(help="Also draw the explanation: .svg, .png, .pdf or .dot.")] = None,
    paper: PaperOption = PaperSize.letter,
    out: OutOption = None,
) -> None:
    """Recommend a finish for one floor on one screen; --full tells everything."""
    from datetime import date

    from advisor.demo import find_case
    from advisor.engines.reasoning import Reasoner
    from advisor.facts.case import read_case
    from advisor.work.fit import study_fully
    from explanations.reading import write_for

    if graph:
        from explanations.pictures import check_picture

        check_picture(graph)
    if out:
        from advisor.pages.files import check_file

        check_file(out)
    base = rule_base(rules, products=product)
    floor = read_case(find_case(case), base)
    study = study_fully(Reasoner(base), floor, date.today(), room or (), prices, units.value if units else None)
    write_for(study.reading)
    advice = study.advice
    if as_json:
        print_data(advice)
    else:
        if full:
            from advisor.pages.advice_report import advice_page as page
        else:
            from advisor.pages.short_answer import short_page as page

        give(page(advice), out, paper)
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

    from advisor.reference.schemas import json_schema, list_schemas

    if name is None:
        typer.echo(list_schemas())
    else:
        typer.echo(json.dumps(json_schema(name, lambda: rule_base(rules)), indent=2, ensure_ascii=False))
