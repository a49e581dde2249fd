"""The form of a case file: a title, a note, and facts by name; what is wrong with it told so that it can be mended."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.errors import BadCase, Fault, nearest
from advisor.facts.statements import odd_character
from advisor.model.knowledge import RuleBase
from advisor.rulebase.documents import Document
from explanations.wording import wording
from explanations.words import visible

FORMAT: Literal["slab-finish-case/1"] = "slab-finish-case/1"
ENTRIES = "`format`, `floor`, `note`, `facts`"
LONGEST = {"floor": 200, "note": 2000}  # characters of what stands beside the facts


class CaseFile(BaseModel):
    """The entries of a case file."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    format: Literal["slab-finish-case/1"] | None = Field(
        default=None, description="The name and version of this form; left out, it is the same."
    )
    floor: str | None = Field(
        default="", max_length=LONGEST["floor"], description="A name for the floor, for the heading of the answer."
    )
    note: str | None = Field(
        default="", max_length=LONGEST["note"], description="Anything worth remembering; not reasoned about."
    )
    facts: dict[str, Any] = Field(
        description="The facts by name, as `advisor facts` lists them: a text, or `{is: TEXT, on: DATE, by: NAME}`."
    )


def read_form(document: Document, base: RuleBase) -> CaseFile:
    """The entries of a document.

    Raises:
        BadCase: with every entry that is not what it must be.
    """
    try:
        file = CaseFile.model_validate(document.content)
    except ValidationError as error:
        raise BadCase(_reworded(document, error, base)) from None
    odd = {name: odd_character(text or "") for name, text in (("floor", file.floor), ("note", file.note))}
    faults = [
        Fault(document.where(name), f'"{name}" holds a character that cannot be shown ({each})', "plain text")
        for name, each in odd.items()
        if each
    ]
    if faults:
        raise BadCase(faults)
    return file


def _reworded(document: Document, error: ValidationError, base: RuleBase) -> list[Fault]:
    faults = []
    astray = [str(each["loc"][0]) for each in error.errors() if each["type"] == "extra_forbidden"]
    astray = [name for name in astray if name in base.facts]  # told once, however many
    if astray:
        named = ", ".join(astray[:3]) + (f" and {len(astray) - 3} more" if len(astray) > 3 else "")
        what = f"{named} {'stands' if len(astray) == 1 else 'stand'} beside `facts:`, not under it"
        remedy = "Write `facts:` on a line of its own and indent the facts under it."
        faults.append(Fault(document.where(astray[0]), what, ENTRIES, remedy))
    for each in error.errors():
        if astray and (each["type"] == "missing" or str(each["loc"][0]) in astray):
            continue
        place = tuple(str(part) for part in each["loc"])
        name, where = place[-1] if place else "the case", document.where(*place)
        if each["type"] == "missing":
            faults.append(
                Fault(
                    where,
                    "there is no `facts:` in it",
                    ENTRIES,
                    "Write a blank case: advisor new FILE",
                )
            )
        elif each["type"] == "extra_forbidden":
            hint = nearest(name, CaseFile.model_fields)
            faults.append(Fault(where, f'I do not know the entry "{name}"', ENTRIES, hint))
        elif place[:1] == ("facts",) and len(place) > 1:
            faults.append(
                Fault(
                    where,
                    f"{place[1]} is given as {_kind_of(each['input'])}",
                    "one text, as in `slab_thickness: 4 in`",
                )
            )
        else:
            faults.append(_misformed(name, each["input"], where))
    return faults


def _misformed(name: str, value: object, where: str) -> Fault:
    """An entry of the file itself that is not what it must be."""
    if name == "format":
        shown = visible(value[:40]) if isinstance(value, str) else _kind_of(value)
        return Fault(where, wording("schemas.other_case_format", format=shown), f"`format: {FORMAT}`")
    if name != "facts":
        what = "too long" if isinstance(value, str) else _kind_of(value)
        return Fault(where, f'"{name}" is {what}', f"one text of at most {LONGEST[name]} characters")
    what = f'given as "{value[:40]}"' if isinstance(value, str) else _kind_of(value)
    remedy = "Write each fact on a line of its own, indented, as `  slab_thickness: 4 in`; with no facts, `facts: {}`."
    return Fault(where, f"`facts` is {what}", "`name: value` lines beneath `facts:`", remedy)


def _kind_of(value: object) -> str:
    return {list: "a list", dict: "a group of entries", type(None): "empty"}.get(type(value), "text")
