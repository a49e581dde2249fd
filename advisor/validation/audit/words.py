"""Findings of an audit in words."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import wrap

from advisor.validation.audit.search import Break, Finding


def in_words(finding: Finding) -> str:
    """A finding as a few lines of text."""
    lines = [f"{finding.outcome}: {finding.claim}", *_wrapped(finding.says)]
    for broken in finding.breaks:
        lines += _wrapped(f"{broken.what}, on a floor with {shown(broken)}.", "  - ")
        if not broken.real:
            lines += _wrapped("No inputs were found that make its computed facts so; this decides nothing.", "    ")
    if not finding.questions and not finding.breaks:
        lines += _wrapped("No rule concludes anything of the kind from it.")
    return "\n".join([*lines, *_wrapped(finding.abstraction), ""])


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return wrap(text, 78, initial_indent=indent, subsequent_indent=" " * len(indent))


def tally(findings: Iterable[Finding]) -> str:
    """How many claims came out how, in one line."""
    outcomes = [finding.outcome for finding in findings]
    parts = [f"{outcomes.count(each)} {each}" for each in ("proved", "refuted", "open")]
    return f"{len(outcomes)} claims: {', '.join(parts)}."


def shown(broken: Break) -> str:
    """The floor of a break in one line."""
    facts = ", ".join(f"{name}: {value.shown}" for name, value in broken.floor.items()) or "nothing stated"
    return f"{facts}{'; ' + broken.then if broken.then else ''}"
