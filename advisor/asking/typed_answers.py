"""An answer as people type it: a place in the list, a short yes or no, "don't know", a date and a name after it."""

from __future__ import annotations

import re
from datetime import date

from advisor.facts.statements import Statement, read_date
from advisor.model.knowledge import UNKNOWN, FactKind
from advisor.model.quantities import spell_units

DONT_KNOW = {
    "unknown", "dont know", "i dont know", "do not know", "i do not know", "dk", "no idea", "not sure", "dunno",
    "not known", "skip", "pass",
}  # fmt: skip
YES_OR_NO = {"y": "yes", "yeah": "yes", "yep": "yes", "n": "no", "nope": "no"}


def read_answer(fact: str, kind: FactKind, text: str, today: date) -> Statement:
    """What was typed, as a statement; whether it fits the fact is found out later.

    Args:
        fact: its name.
        kind: what the fact is.
        text: as typed; after the value may stand `on DATE` and `by NAME`.
        today: no date lies after it.

    Raises:
        BadCase: the date is none.
    """
    if declines(text):
        return Statement(UNKNOWN)
    match = re.fullmatch(r"(?P<is>.+?)(?:\s+on\s+(?P<on>\S+))?(?:\s+by\s+(?P<by>.{1,80}))?", text)
    assert match is not None
    value, on, by = match["is"].strip(), match["on"], match["by"] or ""
    if kind.type == "yes/no":
        value = YES_OR_NO.get(value.lower().rstrip("."), value)
    elif kind.type != "number" and value.isdigit() and 1 <= int(value) <= len(kind.choices):
        value = kind.choices[int(value) - 1]
    elif kind.type == "number" and value[-1:].isdigit() and (unit := _only_unit(kind)):
        value = f"{value} {unit}"
    return Statement(value, read_date(fact, on, fact, today), by)


def _only_unit(kind: FactKind) -> str:
    """The unit that a bare figure must be meant in, since the fact is measured in no other; "" if there are several."""
    named = spell_units(kind.unit)
    return "" if "," in named or " " in named else named


def declines(text: str) -> bool:
    """Whether somebody says that they do not know, straight or curly apostrophe or none.

    >>> declines("Don’t know."), declines("I don't know"), declines("80 %")
    (True, True, False)
    """
    return " ".join(re.sub("['’.!]", "", text).lower().split()) in DONT_KNOW
