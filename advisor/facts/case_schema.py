"""The form of a case file as JSON Schema, by which an editor can check and complete one."""

from __future__ import annotations

from typing import Any

from advisor.facts.case import LONGEST_VALUE, describe_allowed
from advisor.facts.case_form import CaseFile
from advisor.facts.statements import LONGEST_NAME
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.vocabulary import FactKind
from explanations.wording import wording

# Nothing at all (null) is unknown; true and false are what some readers of YAML make of yes and no.
_YES_NO = {"enum": ["yes", "no", UNKNOWN, True, False, None]}
_NUMBER = {"type": ["string", "number", "null"], "maxLength": LONGEST_VALUE}


def case_schema(base: RuleBase) -> dict[str, Any]:
    """The entries of a case, with every fact that may be stated.

    Stricter than the reader, which forgives other spellings of a choice (`Four Wheels` for `four_wheels`), and laxer
    with numbers, whose units and ranges only the reader knows; each fact's description tells them.

    Args:
        base: for the vocabulary.
    """
    schema = CaseFile.model_json_schema()
    facts = {name: _fact(base, kind) for name, kind in base.facts.items() if kind.ask}
    told = schema["properties"]["facts"]["description"]
    schema["$defs"] = {"yes_no": _said(_YES_NO), "number": _said(_NUMBER)}
    schema["properties"]["facts"] = {
        "description": told,
        "type": "object",
        "properties": facts,
        "additionalProperties": False,
    }
    return schema


def _fact(base: RuleBase, kind: FactKind) -> dict[str, Any]:
    said = wording("schemas.fact", ask=kind.ask, allowed=describe_allowed(base, kind), find_out=kind.find_out)
    if kind.type == "number":
        return {"description": said, "$ref": "#/$defs/number"}
    if kind.type == "yes/no":
        return {"description": said, "$ref": "#/$defs/yes_no"}
    others = (each for also in kind.also.values() for each in also)
    return {"description": said, **_said({"enum": [*kind.choices, *others, UNKNOWN, None]})}


def _said(value: dict[str, Any]) -> dict[str, Any]:
    """A value, or one with its date and who found it."""
    dated = {
        "type": "object",
        "properties": {
            "is": value,
            "on": {"type": ["string", "null"], "format": "date"},
            "by": {"type": ["string", "null"], "maxLength": LONGEST_NAME},
        },
        "required": ["is"],
        "additionalProperties": False,
    }
    return {"anyOf": [value, dated]}
