"""What people type: an answer (a place in the list, a short yes or no, "don't know", a date and a name after it), and
on the command line `FACT=VALUE`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date

from advisor.errors import BadCase, Fault, nearest
from advisor.facts.case import Case, read_fact, say
from advisor.facts.statements import Statement, read_date, read_name
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import spell_units
from advisor.model.vocabulary import FactKind
from advisor.rulebase.rule_values import spelled
from explanations.reading import reading
from explanations.wording import label, wording


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


def read_answer(fact: str, kind: FactKind, text: str, today: date, shown: Mapping[str, str] | None = None) -> Statement:
    """What was typed, as a statement; whether it fits the fact is found out later.

    Args:
        fact: its name.
        kind: what the fact is.
        text: as typed; after the value may stand `on DATE` and `by NAME`.
        today: no date lies after it.
        shown: where its values were shown: in which other words, by value; then the beginning of them will do.

    Raises:
        BadCase: the date is none, or the name cannot be kept.
    """
    if declines(text):
        return Statement(UNKNOWN)
    if as_shown := _as_shown(kind, text, shown):
        return Statement(as_shown)
    match = re.fullmatch(r"(?P<is>.+?)(?:\s+on\s+(?P<on>\S+))?(?:\s+by\s+(?P<by>.+))?", text, re.DOTALL)
    value, on, by = (match["is"].strip(), match["on"], match["by"] or "") if match else (text, None, "")
    if kind.type == "yes/no":
        value = next((each for each in ("yes", "no") if stands_for(each, value)), value)
    elif kind.type != "number" and value.isdigit() and 1 <= int(value) <= len(kind.choices):
        value = kind.choices[int(value) - 1]
    elif kind.type == "choice":
        value = _as_shown(kind, value, shown) or value
        if shown is not None and spelled(value) not in _called(kind):
            raise BadCase([_none_of_these(kind, text, shown)])
    elif kind.type == "number" and re.fullmatch(r"[^$€£]*\d(?:\s?k)?", value) and (unit := _only_unit(kind)):
        value = f"{value} {unit}"
    return Statement(value, read_date(fact, on, fact, today), read_name(fact, " ".join(by.split()), fact))


def _as_shown(kind: FactKind, text: str, shown: Mapping[str, str] | None) -> str:
    """The value that is shown in these words, with an article or without; empty if none is, or several may be meant."""
    if kind.type != "choice" or not (wanted := _bare(text)):
        return ""
    words = {value: {_bare(label("value", value)), _bare((shown or {}).get(value, ""))} for value in kind.choices}
    found = [value for value, each in words.items() if wanted in (value, *each)]
    if not found and wanted in _called(kind):  # another name of a value; as it was typed, but for its article
        return "" if wanted == spelled(text) else wanted
    if not found and shown is not None:
        found = [value for value, each in words.items() if any(some.startswith(f"{wanted}_") for some in each)]
    return found[0] if len(found) == 1 else ""


def _called(kind: FactKind) -> set[str]:
    """The values and what else people call them."""
    return {each for value in kind.choices for each in (value, *kind.also.get(value, ()))}


def _none_of_these(kind: FactKind, text: str, shown: Mapping[str, str]) -> Fault:
    """That an answer is none of those that were shown, in the words in which they were."""
    says = [shown.get(value) or label("value", value) for value in kind.choices]
    what = f"{wording('interview.no_answer', given=text[:60])}. {nearest(text.lower(), says)}".removesuffix(". ")
    return Fault("", what, "; ".join(f"{place} {each}" for place, each in enumerate(says, start=1)), kind.find_out)


def _bare(text: str) -> str:
    """A text as values are spelled, without an article before it and signs in it."""
    words = re.sub(r"[,;:()]", " ", text.strip(" .!")).split()
    return spelled(" ".join(words[1:] if words and stands_for("articles", words[0]) else words))


def _only_unit(kind: FactKind) -> str:
    """The unit that a bare figure must be meant in, since the fact is measured in no other; "" if there are several."""
    named, reader = spell_units(kind.unit), reading()
    if named == "USD" and reader:  # a bare figure is the reader's own money
        return reader.currency
    return "" if "," in named or " " in named else named


def declines(text: str) -> bool:
    """Whether somebody says that they do not know, straight or curly apostrophe or none.

    >>> declines("Don’t know."), declines("I don't know"), declines("80 %")
    (True, True, False)
    """
    return stands_for("dont_know", re.sub("['’.!]", "", text))
