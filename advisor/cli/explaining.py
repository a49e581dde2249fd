"""Verbs about why: why, turn, graph."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from advisor.cli.app import (
    CaseArgument,
    JsonOption,
    ProductOption,
    RulesOption,
    UnitsOption,
    UnitSystem,
    app,
    print_data,
    read_floor,
    rule_base,
    speak_of_causes,
)
from advisor.errors import BadRequest, Fault
from explanations.wording import label, wording

if TYPE_CHECKING:
    from advisor.asking.explaining import Explained

SayOption = Annotated[
    list[str] | None,
    typer.Option(
        metavar="FACT=VALUE", help="What is new or otherwise: slab_humidity='70 %'; may be given more than once."
    ),
]
FinishArgument = Annotated[
    str | None, typer.Argument(help="A finish, by its id or name; or a cause of what went wrong (advisor causes).")
]


def explained(
    case: Path,
    rules: list[Path] | None,
    say: list[str] | None = None,
    products: list[Path] | None = None,
    units: UnitSystem | None = None,
    about: str | None = None,
    context: typer.Context | None = None,
) -> Explained:
    """A case, with what else is said of it, reasoned about: its finishes, or its causes where one of them is named."""
    from advisor.asking.causes import cause_named
    from advisor.asking.typed_answers import say_typed
    from advisor.engines.reasoning import Reasoner
    from advisor.work.explained import explained_fully

    base, today = rule_base(rules, products=products), date.today()
    read = read_floor(case, base, units, today)
    floor = say_typed(base, read, say, today) if say else read
    cause = cause_named(base, about) if about else ""
    if cause and context:
        speak_of_causes(context)
    return explained_fully(Reasoner(base), floor, today, bool(cause))


@app.command()
def why(
    context: typer.Context,
    case: CaseArgument,
    finish: FinishArgument = None,
    other: Annotated[str | None, typer.Argument(help="A second finish: why the first and not this one.")] = None,
    level: Annotated[str, typer.Option(help="How much: sentence, paragraph or full.")] = "paragraph",
    rule: Annotated[str, typer.Option(help="One rule: which of its conditions failed, and by how much.")] = "",
    least: Annotated[bool, typer.Option("--least", help="Name the fewest facts that lead to the same.")] = False,
    most: Annotated[
        int, typer.Option(min=2, max=3, help="In full: facts that turn it together, up to so many; 3 takes seconds.")
    ] = 2,
    say: SayOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
) -> None:
    """Tell why the answer is what it is, why a finish is ruled out or not first, or why one finish and not another."""
    from explanations.telling import check_level

    known = check_level(level)
    told = explained(case, rules, say, product, units, finish, context)
    about = told.finish(finish) if finish else None
    if about and other:
        _two(told, about, told.finish(other), as_json, everything=known == "full")
    elif as_json:
        from advisor.asking.why_record import why_record

        print_data(why_record(told, about, rule, most))
    else:
        from advisor.asking.why import why_text

        typer.echo(why_text(told, about, rule, known, least, most))


def _two(told: Explained, first: str, second: str, as_json: bool, everything: bool) -> None:
    """Why one finish and not the other."""
    from advisor.asking.instead import instead
    from advisor.asking.instead_words import instead_told
    from advisor.asking.why import wrapped

    if first == second:
        raise BadRequest([Fault("finish", wording("instead.same", finish=first), wording("instead.two_wanted"))])
    found = instead(told, first, second)
    if as_json:
        print_data(found)
    else:
        typer.echo(wrapped(instead_told(found, everything)))


@app.command()
def turn(
    context: typer.Context,
    case: CaseArgument,
    finish: FinishArgument = None,
    first: Annotated[bool, typer.Option("--first", help="The finish must come first, not only come back.")] = False,
    most: Annotated[int, typer.Option(min=1, max=3, help="How many facts may change together.")] = 3,
    everything: Annotated[bool, typer.Option("--all", help="Show all that works, not only the cheapest few.")] = False,
    say: SayOption = None,
    as_json: JsonOption = False,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
) -> None:
    """Find the smallest changes of facts that would turn the answer, or bring a finish back."""
    from advisor.asking.turning import would_turn

    told = explained(case, rules, say, product, units, finish, context)
    about = told.finish(finish) if finish else None
    found = would_turn(told.reasoner, told.case, about, most, first, everything, told.today)
    if as_json:
        from advisor.asking.why_record import turning_record

        print_data(turning_record(found))
    else:
        from advisor.asking.why import turning_text

        typer.echo(turning_text(found, told.base))


def _said(before: Explained, after: Explained) -> list[str]:
    """The facts that are stated otherwise, and how."""
    was, now = before.case.as_read, after.case.as_read
    return [
        wording("pictures.named", name=label("fact", name), value=value.shown)
        for name, value in now.items()
        if value != was.get(name)
    ]


@app.command()
def graph(
    context: typer.Context,
    case: CaseArgument,
    file: Annotated[
        Path,
        typer.Argument(help="Where to: .svg, .png, .pdf or .dot; .prov.json, .graphml, .mmd (Mermaid) or .json."),
    ],
    depth: Annotated[
        str, typer.Option(help="gist (15 nodes at most), besides (what else is wrong), answer, or everything.")
    ] = "gist",
    finish: Annotated[str, typer.Option(help="One finish, or one cause, instead; to the same depth.")] = "",
    least: Annotated[bool, typer.Option("--least", help="Of a finish ruled out, only the shortest proof.")] = False,
    say: SayOption = None,
    against: Annotated[Path | None, typer.Option(help="Another case: draw what is different in it.")] = None,
    against_rules: Annotated[
        list[Path] | None, typer.Option(help="A folder of rules laid over: draw what is different with it.")
    ] = None,
    rules: RulesOption = None,
    product: ProductOption = None,
    units: UnitsOption = None,
) -> None:
    """Draw the explanation, or the difference of two, as a picture or in an open format."""
    from advisor.answer.picturing import view
    from advisor.asking.revision import compared, turned_between
    from advisor.asking.revision_words import revision_told, turning_nodes
    from advisor.asking.why import wrapped
    from explanations.errors import CannotWrite
    from explanations.formats import check_file, links_note, save
    from explanations.shift import shift
    from explanations.views import difference, without_sources
    from explanations.wording import listed

    check_file(file)
    for read in filter(None, (case, against)):
        if file.resolve() == read.resolve():
            raise CannotWrite(file, wording("cli.the_case_itself"))
    told = explained(case, rules, products=product, units=units, about=finish, context=context)
    about = told.finish(finish) if finish else None
    shown = view(told.graph, told.advice, depth, about, least)
    title = wording("answer.why", floor=told.advice.floor)
    if say or against or against_rules:
        other = explained(against or case, against_rules or rules, say, product, units, finish, context)
        if depth == "gist" and not about:
            stated = [name for name, value in other.case.facts.items() if value.known]
            turned = turned_between(*((each.base, each.case, each.advice) for each in (told, other)))
            shown = shift(told.graph, other.graph, stated, turning_nodes(turned))
        else:
            before, after = (view(each.graph, each.advice, depth, about) for each in (told, other))
            shown = without_sources(difference(before, after))
        what = other.advice.floor if against else listed(_said(told, other)) if say else wording("cli.other_rules")
        title = wording("cli.changes_in", floor=told.advice.floor, what=what)
        if not against_rules:
            difference_told = revision_told(compared(told.base, told.case, told.advice, other.case, other.advice))
            typer.echo(wrapped(list(difference_told)))
    save(shown, title, file)
    note = links_note(shown) if file.suffix.lower() == ".mmd" else ""
    typer.echo(wording("cli.nodes_are_in", n=len(shown), file=file, note=note).strip(), err=True)
