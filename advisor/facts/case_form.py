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
ENTRIES = "`format`, `floor`, `note`, `rooms`, `facts`"
MOST_ROOMS = 200
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
    rooms: tuple[str, ...] = Field(
        default=(), max_length=MOST_ROOMS, description="Its rooms, each as `20 ft x 22 ft`; in place of the area."
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
        Fault(
            document.where(name),
            wording("facts.odd_character", name=name, character=each),
            wording("facts.plain_text"),
        )
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
        named = ", ".join(astray[:3])
        if len(astray) > 3:
            named = wording("facts.more_names", names=named, n=len(astray) - 3)
        what = wording("facts.beside", n=len(astray), names=named)
        faults.append(Fault(document.where(astray[0]), what, wording("facts.entries"), wording("facts.indent")))
    for each in error.errors():
        if astray and (each["type"] == "missing" or str(each["loc"][0]) in astray):
            continue
        place = tuple(str(part) for part in each["loc"])
        name, where = place[-1] if place else wording("facts.the_case"), document.where(*place)
        if each["type"] == "missing":
            faults.append(
                Fault(
                    where,
                    wording("facts.no_facts"),
                    wording("facts.entries"),
                    wording("facts.blank_case"),
                )
            )
        elif each["type"] == "extra_forbidden":
            hint = nearest(name, CaseFile.model_fields)
            faults.append(Fault(where, wording("facts.no_entry", name=name), wording("facts.entries"), hint))
        elif place[:1] == ("rooms",):
            what = wording(f"facts.misformed.{_kind_of(each['input'])}", name=".".join(place))
            faults.append(Fault(where, what, wording("facts.rooms", most=MOST_ROOMS)))
        elif place[:1] == ("facts",) and len(place) > 1:
            faults.append(
                Fault(
                    where,
                    wording(f"facts.given_as.{_kind_of(each['input'])}", name=place[1]),
                    wording("facts.one_text"),
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
        kind = "long" if isinstance(value, str) else _kind_of(value)
        what = wording(f"facts.misformed.{kind}", name=name)
        return Fault(where, what, wording("facts.at_most", most=LONGEST.get(name, "")))
    what = wording(f"facts.no_group.{_kind_of(value)}", given=str(value)[:40])
    return Fault(where, what, wording("facts.lines"), wording("facts.one_a_line"))


def _kind_of(value: object) -> str:
    """The last part of a key of texts."""
    return {list: "list", dict: "group", type(None): "empty"}.get(type(value), "text")
