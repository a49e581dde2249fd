"""All verbs: importing this registers them with the application."""

from advisor.cli import advice, explaining, interview, many, plan, rules, teaching, vocabulary, worksheets
from advisor.cli.app import app

__all__ = [
    "advice",
    "app",
    "explaining",
    "interview",
    "many",
    "plan",
    "rules",
    "teaching",
    "vocabulary",
    "worksheets",
]
