"""The typer application that the verbs register with, and the arguments that they share."""

from __future__ import annotations

from contextvars import copy_context
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from typer.core import TyperGroup

if TYPE_CHECKING:
    from datetime import date

    from advisor.facts.case import Case
    from advisor.model.knowledge import RuleBase
    from advisor.model.published import Published


class Verbs(TyperGroup):
    """The verbs; each in a context of its own, so that whose units it writes in ends with it."""

    def invoke(self, ctx: typer.Context) -> object:  # type: ignore[override]
        """Run a verb."""
        return copy_context().run(super().invoke, ctx)


app = typer.Typer(
    cls=Verbs,
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Choose and carry out a finish for a concrete slab on grade, with reasons you can check.",
)


@app.callback()
def _verbs() -> None:
    """With one of these, typer asks for the verb even where a run has only one."""


CaseArgument = Annotated[Path, typer.Argument(help="A case file (.yaml, .json or .toml), or the name of a demo case.")]
RulesOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--rules",
        metavar="DIR",
        help="Lay a folder of your own rules, finishes or limits over the shipped ones; may be given more than once.",
    ),
]
ProductOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--product",
        metavar="FILE",
        help="A maker's data sheet, as a file of your own: its product is judged by the maker's numbers, beside the "
        "finish that it is like; may be given more than once.",
    ),
]


class UnitSystem(StrEnum):
    """Which units are shown."""

    us = "us"
    si = "si"


UnitsOption = Annotated[UnitSystem | None, typer.Option(help="Units to show; else those of the floor's country.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the result as data.")]


def rule_base(overlays: list[Path] | None, proved: bool = True, products: list[Path] | None = None) -> RuleBase:
    """The shipped rule base with the folders of `--rules` laid over it, and a finish more for each `--product`.

    Every verb that reads it reads it here, with ages counted to the year of today.

    Raises:
        BadRuleBase: the rules are malformed, or break a claim; then with the floor that shows it.
        BadFile: a data sheet is not what it must be.
    """
    from datetime import date

    from advisor.validation.loading import load_rulebase

    year = date.today().year
    return load_rulebase(
        *(overlays or ()), products=products or (), year=year, proved=proved, proving=_say_that_it_proves
    )


def read_floor(case: Path, base: RuleBase, units: UnitSystem | None = None, today: date | None = None) -> Case:
    """A case, or a demo case by its name; from here on the verb writes figures for its reader.

    Args:
        case: the file, or the name.
        base: for the vocabulary.
        units: those of `--units`; else those of the floor's country.
        today: the date against which tests age; the current one if not given.
    """
    from advisor.demo import find_case
    from advisor.facts.case import read_case
    from advisor.model.reader import reading_of
    from explanations.reading import write_for

    floor = read_case(find_case(case), base, today)
    write_for(reading_of(base, floor.facts, units.value if units else None))
    return floor


def speak_of_causes(context: typer.Context) -> None:
    """Say of causes what is else said of finishes, until the command ends."""
    from explanations.wording import speaking_of

    context.with_resource(speaking_of("causes"))


def asked_for_causes(context: typer.Context, base: RuleBase) -> RuleBase:
    """The rule base with the causes in place of the finishes, and spoken of so until the command ends."""
    from advisor.rulebase.causes import as_causes

    speak_of_causes(context)
    return as_causes(base)


def _say_that_it_proves() -> None:
    from explanations.wording import wording

    typer.echo(wording("cli.proving"), err=True)


def print_data(record: Published) -> None:
    """Print what `--json` asks for, by the names that `advisor schema` tells."""
    typer.echo(record.model_dump_json(indent=2, by_alias=True))
