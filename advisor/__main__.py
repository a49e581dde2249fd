"""The command line: `advisor VERB ...`. No logic here; results on stdout, notes and errors on stderr."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from advisor.errors import AdvisorError

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Choose and carry out a finish for a concrete slab on grade, with reasons you can check.",
)

CaseArgument = Annotated[
    Path, typer.Argument(help="A case file (.yaml, .json or .toml), or the name of a demo case.")
]


@app.command()
def advise(
    case: CaseArgument,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the answer as data (see `advisor schema`).")
    ] = False,
    graph: Annotated[
        Path | None, typer.Option(help="Also draw the explanation: .svg, .png, .pdf or .dot.")
    ] = None,
) -> None:
    """Recommend a finish for one floor, with reasons, hazards and what to find out next."""
    from advisor.advising import advise as advise_case
    from advisor.case import read_case
    from advisor.demo import find_case
    from advisor.reasoning import Reasoner
    from advisor.rulebase import load_rulebase

    if graph:
        from explanations.pictures import check_picture

        check_picture(graph)
    base = load_rulebase()
    advice = advise_case(Reasoner(base), read_case(find_case(case), base))
    if as_json:
        typer.echo(advice.model_dump_json(indent=2))
    else:
        from rich.console import Console

        from advisor.report import print_advice

        print_advice(advice, Console(highlight=False, soft_wrap=False))
    if graph:
        from advisor.picturing import draw_advice

        draw_advice(advice, graph)
        typer.echo(f"The explanation graph is in {graph}.", err=True)


@app.command()
def facts(
    names: Annotated[list[str] | None, typer.Argument(help="Only these facts; all if none is named.")] = None,
) -> None:
    """List the facts that a case may state: the question, what is allowed, how to find out, why it matters."""
    from advisor.glossary import explain_facts
    from advisor.rulebase import load_rulebase

    typer.echo(explain_facts(load_rulebase(), names or []))


@app.command()
def new(file: Annotated[Path, typer.Argument(help="The file to write; it must not exist yet.")]) -> None:
    """Write a blank case to fill in, with every fact explained."""
    from advisor.glossary import write_blank_case
    from advisor.rulebase import load_rulebase

    write_blank_case(load_rulebase(), file)
    typer.echo(f"{file} is ready to fill in; then: advisor advise {file}", err=True)


@app.command()
def schema() -> None:
    """Print the JSON Schema of what `advise --json` prints."""
    import json

    from advisor.advice import Advice

    typer.echo(json.dumps(Advice.model_json_schema(), indent=2))


def main() -> None:
    """Run the command line: exit 0 with advice (whatever it is), 2 on bad input, without a traceback."""
    try:
        app()
    except AdvisorError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()  # the reader of our pipe has seen enough
        sys.exit(0)


if __name__ == "__main__":
    main()
