"""Which module holds which verbs: a run imports, and has typer build, only what it is asked for."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typer import Typer

VERBS = {
    "advice": ("advise", "schema"),
    "causes": ("causes",),
    "explaining": ("why", "turn", "graph"),
    "hiring": ("quote", "care"),
    "interview": ("next", "interview", "revise"),
    "many": ("audit", "survey", "map", "diff"),
    "plan": ("materials", "cost", "plan", "compare", "letter", "price-names"),
    "rules": ("rule", "rules", "sources"),
    "serve": ("serve",),
    "teaching": ("lesson", "lessons"),
    "vocabulary": ("facts", "new"),
    "worksheets": ("work",),
}


def application(verb: str = "") -> Typer:
    """The application with this verb; with all of them where there is none of this name, or none is named."""
    from advisor.cli.app import app

    for module in [module for module, verbs in VERBS.items() if verb in verbs] or VERBS:
        import_module(f"advisor.cli.{module}")
    return app
