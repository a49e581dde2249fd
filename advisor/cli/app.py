"""The typer application that the verbs register with, and the arguments that they share."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Choose and carry out a finish for a concrete slab on grade, with reasons you can check.",
)

CaseArgument = Annotated[Path, typer.Argument(help="A case file (.yaml, .json or .toml), or the name of a demo case.")]
RulesOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--rules",
        metavar="DIR",
        help="Lay a folder of your own rules, finishes or limits over the shipped ones; may be given more than once.",
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the result as data.")]


def rule_base(overlays: list[Path] | None, proved: bool = True) -> RuleBase:
    """The shipped rule base with the folders of `--rules` laid over it; every verb that reads it reads it here.

    Raises:
        BadRuleBase: the rules are malformed, or break a claim; then with the floor that shows it.
    """
    from advisor.validation.loading import load_rulebase

    return load_rulebase(*(overlays or ()), proved=proved, proving=_say_that_it_proves)


def _say_that_it_proves() -> None:
    from explanations.wording import wording

    typer.echo(wording("cli.proving"), err=True)
