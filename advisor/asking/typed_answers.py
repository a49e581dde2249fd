"""What people type: an answer (a place in the list, a short yes or no, "don't know", a date and a name after it), and
on the command line `FACT=VALUE`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

from advisor.errors import BadCase, Fault
from advisor.facts.case import Case, read_fact, say
from advisor.facts.statements import Statement, read_date, read_name
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import spell_units
from advisor.model.vocabulary import FactKind
from explanations.wording import wording


def stands_for(meaning: str, text: str) -> bool:
    """Whether a text is one of the reader's words for a meaning, listed under `interview.typed`.

    >>> stands_for("yes", "Yep."), stands_for("no", "yep")
    (True, False)
    """
    return " ".join(text.lower().rstrip(".").split()) in wording(f"interview.typed.{meaning}").split(", ")


def say_typed(base: RuleBase, case: Case, typed: Iterable[str], today: date) -> Case:
    """The case with further facts stated, each written as `FACT=VALUE`.

    Args:
        base: for the vocabulary.
        case: what was said before.
        typed: after a value may stand `on DATE` and `by NAME`; `unknown` withdraws what was said.
        today: the date against which tests age.

    Raises:
        BadCase: with every fault found.
    """
    faults: list[Fault] = []
    said: dict[str, Statement] = {}
    for each in typed:
        name, sign, text = (part.strip() for part in each.partition("="))
        try:
            if not sign or not text:
                raise BadCase([_no_fact(base, each)])
            if name not in base.facts:
                read_fact(base, name, text, each)  # says what is wrong with the name
            said[name] = read_answer(name, base.facts[name], text, today)
        except BadCase as error:
            faults += error.faults
    if faults:
        raise BadCase(faults)
    return say(base, case, said, today)


def _no_fact(base: RuleBase, typed: str) -> Fault:
    name, colon, text = (part.strip() for part in typed.partition(":"))
    meant = wording("asking.write", name=name, text=text) if colon and text and name in base.facts else ""
    return Fault(typed, wording("asking.no_new_fact"), wording("asking.fact_value"), meant)


def read_answer(fact: str, kind: FactKind, text: str, today: date) -> Statement:
    """What was typed, as a statement; whether it fits the fact is found out later.

    Args:
        fact: its name.
        kind: what the fact is.
        text: as typed; after the value may stand `on DATE` and `by NAME`.
        today: no date lies after it.

    Raises:
        BadCase: the date is none, or the name cannot be kept.
    """
    if declines(text):
        return Statement(UNKNOWN)
    match = re.fullmatch(r"(?P<is>.+?)(?:\s+on\s+(?P<on>\S+))?(?:\s+by\s+(?P<by>.+))?", text, re.DOTALL)
    value, on, by = (match["is"].strip(), match["on"], match["by"] or "") if match else (text, None, "")
    if kind.type == "yes/no":
        value = next((each for each in ("yes", "no") if stands_for(each, value)), value)
    elif kind.type != "number" and value.isdigit() and 1 <= int(value) <= len(kind.choices):
        value = kind.choices[int(value) - 1]
    elif kind.type == "number" and re.fullmatch(r"[^$€£]*\d", value) and (unit := _only_unit(kind)):
        value = f"{value} {unit}"
    return Statement(value, read_date(fact, on, fact, today), read_name(fact, " ".join(by.split()), fact))


def _only_unit(kind: FactKind) -> str:
    """The unit that a bare figure must be meant in, since the fact is measured in no other; "" if there are several."""
    named = spell_units(kind.unit)
    return "" if "," in named or " " in named else named


def declines(text: str) -> bool:
    """Whether somebody says that they do not know, straight or curly apostrophe or none.

    >>> declines("Don’t know."), declines("I don't know"), declines("80 %")
    (True, True, False)
    """
    return stands_for("dont_know", re.sub("['’.!]", "", text))
