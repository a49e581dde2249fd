"""All verbs: importing this registers them with the application."""

from advisor.cli import (
    advice,
    causes,
    explaining,
    hiring,
    interview,
    many,
    plan,
    rules,
    serve,
    teaching,
    vocabulary,
    worksheets,
)
from advisor.cli.app import app

__all__ = [
    "advice",
    "app",
    "causes",
    "explaining",
    "hiring",
    "interview",
    "many",
    "plan",
    "rules",
    "serve",
    "teaching",
    "vocabulary",
    "worksheets",
]
