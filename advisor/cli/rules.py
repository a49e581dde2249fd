"""Verbs about the knowledge itself: rule, rules, sources."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.cli.app import JsonOption, RulesOption, app, asked_for_causes, print_data, read_floor, rule_base
from advisor.errors import BadRequest, Fault
from explanations.wording import wording


@app.command()
def rule(
    context: typer.Context,
    name: Annotated[str, typer.Argument(metavar="ID", help="The rule's id, as the advice names it in brackets.")],
    rules: RulesOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show one rule: what it says and rests on, its neighbours, and a floor on each side of its edge."""
    from advisor.engines.reasoning import Reasoner
    from advisor.reference.rule_page import find_rule, page_text, rule_page
    from advisor.reference.witness import Floors

    base = rule_base(rules)
    if name in base.cause_rules:
        base = asked_for_causes(context, base)
    find_rule(base, name)
    page = rule_page(Floors(Reasoner(base)), name)
    if as_json:
        print_data(page)
    else:
        typer.echo(page_text(base, page))


@app.command(name="rules")
def list_rules(
    search: Annotated[list[str] | None, typer.Argument(help="Words that a rule must all hold.")] = None,
    topic: Annotated[str | None, typer.Option(help="Only this topic.")] = None,
    rules: RulesOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the rules by topic; with words, those that hold them all, and the causes of what went wrong that do."""
    from advisor.reference.rule_list import causes_holding, causes_text, find_rules, list_record, list_text

    base = rule_base(rules)
    found = find_rules(base, topic, search or [])
    causes = causes_holding(base, search or []) if topic is None else ()
    if as_json:
        print_data(list_record(base, found, causes))
    elif found or causes:
        texts = ([list_text(base, found)] if found else []) + ([causes_text(causes)] if causes else [])
        typer.echo("\n\n".join(texts))
    else:
        typer.echo(wording("cli.no_rule"), err=True)


@app.command()
def sources(
    names: Annotated[list[str] | None, typer.Argument(metavar="[ID]...", help="Only these, in full.")] = None,
    case: Annotated[Path | None, typer.Option(help="How much of this floor's answer rests on which kind.")] = None,
    rules: RulesOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the bibliography and what rests on each source; or what one floor's answer rests on."""
    from advisor.reference.source_list import answer_record, answer_text, sources_record, sources_text

    if case and names:
        raise BadRequest([Fault("advisor sources", wording("cli.sources_and_case"), wording("cli.one_or_other"))])
    base = rule_base(rules)
    if case is None:
        if as_json:
            print_data(sources_record(base, names or []))
        else:
            typer.echo(sources_text(base, names or []))
    else:
        from advisor.asking.advice import advise
        from advisor.engines.reasoning import Reasoner

        advice = advise(Reasoner(base), read_floor(case, base))
        if as_json:
            print_data(answer_record(base, advice.trace, advice.answer.leading))
        else:
            typer.echo(answer_text(base, advice.trace, advice.answer.leading))
