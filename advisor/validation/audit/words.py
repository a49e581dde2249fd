"""Findings of an audit in words."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import wrap
from typing import get_args

from advisor.validation.audit.search import Break, Finding, Outcome
from explanations.wording import wording


def in_words(finding: Finding) -> str:
    """A finding as a few lines of text."""
    outcome = wording(f"audit.outcome.{finding.outcome}")
    lines = [f"{outcome}: {finding.claim}", *_wrapped(finding.says)]
    for broken in finding.breaks:
        lines += _wrapped(wording("audit.broken", what=broken.what, floor=shown(broken)), "  - ")
        if not broken.real:
            lines += _wrapped(wording("audit.unreal"), "    ")
    if not finding.questions and not finding.breaks:
        lines += _wrapped(wording("audit.nothing_asked"))
    return "\n".join([*lines, *_wrapped(finding.abstraction), ""])


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return wrap(text, 78, initial_indent=indent, subsequent_indent=" " * len(indent))


def tally(findings: Iterable[Finding]) -> str:
    """How many claims came out how, in one line."""
    outcomes = [finding.outcome for finding in findings]
    return wording("audit.tally", n=len(outcomes), **{each: outcomes.count(each) for each in get_args(Outcome)})


def shown(broken: Break) -> str:
    """The floor of a break in one line."""
    facts = ", ".join(f"{name}: {value.shown}" for name, value in broken.floor.items()) or wording(
        "audit.nothing_stated"
    )
    return f"{facts}{'; ' + broken.then if broken.then else ''}"
