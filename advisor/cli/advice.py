"""Verbs about the advice for one floor: advise, schema."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import CaseArgument, JsonOption, RulesOption, app, rule_base


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
        typer.echo(advice.model_dump_json(indent=2))
    else:
        from advisor.pages.advice_report import print_advice
        from advisor.pages.text import terminal

        print_advice(advice, terminal())
    if graph:
        from advisor.answer.picturing import draw_advice
        from explanations.wording import wording

        draw_advice(advice, base, graph)
        typer.echo(wording("cli.explanation_is_in", file=graph), err=True)


@app.command()
def schema() -> None:
    """Print the JSON Schema of what `advise --json` prints."""
    import json

    from advisor.model.advice import Advice

    typer.echo(json.dumps(Advice.model_json_schema(), indent=2))
