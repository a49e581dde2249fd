"""The typer application that the verbs register with, and the arguments that they share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Choose and carry out a finish for a concrete slab on grade, with reasons you can check.",
)

CaseArgument = Annotated[Path, typer.Argument(help="A case file (.yaml, .json or .toml), or the name of a demo case.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the result as data.")]
