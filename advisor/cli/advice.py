"""Verbs about the advice for one floor, and about answers as data: advise, schema."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import CaseArgument, JsonOption, RulesOption, app, print_data, rule_base


@app.command()
def advise(
    case: CaseArgument,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    graph: Annotated[Path | None, typer.Option(help="Also draw the explanation: .svg, .png, .pdf or .dot.")] = None,
) -> None:
    """Recommend a finish for one floor, with reasons, hazards and what to find out next."""
    from advisor.answer.judging import judge_of
    from advisor.asking.advice import advise as advise_case
    from advisor.asking.advice import with_certainty
    from advisor.demo import find_case
    from advisor.engines.reasoning import Reasoner
    from advisor.facts.case import read_case
    from advisor.facts.memory import working_memory

    if graph:
        from explanations.pictures import check_picture

        check_picture(graph)
    base = rule_base(rules)
    reasoner, read = Reasoner(base), read_case(find_case(case), base)
    advice = with_certainty(advise_case(reasoner, read), judge_of(reasoner), working_memory(base, read.facts))
    if as_json:
        print_data(advice)
    else:
        from advisor.pages.advice_report import print_advice
        from advisor.pages.text import terminal

        print_advice(advice, terminal())
    if graph:
        from advisor.answer.picturing import draw_advice

        draw_advice(advice, base, graph)
        typer.echo(f"The explanation graph is in {graph}.", err=True)


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
