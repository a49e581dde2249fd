"""A case: one floor's facts as somebody wrote them down, read against the vocabulary."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.documents import Document, read_document
from advisor.errors import BadCase, Fault, nearest
from advisor.grounding import contradicted
from advisor.knowledge import UNKNOWN, FactKind, RuleBase
from advisor.quantities import NotAQuantity, read_quantity, show, spell_units
from advisor.values import Value, choice, number, unknown

LONGEST_VALUE = 200  # characters; no fact needs more


class CaseFile(BaseModel):
    """The form of a case file: a title, a note, and facts by name."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    floor: str | None = Field(
        default="", max_length=200, description="A name for the floor, for the heading of the answer."
    )
    note: str | None = Field(
        default="", max_length=2000, description="Anything worth remembering; not reasoned about."
    )
    facts: dict[str, str | None] = Field(description="The facts by name, as `advisor facts` lists them.")


@dataclass(frozen=True)
class Case:
    """A floor: its name, a note, and the facts that were stated (unknown ones included)."""

    floor: str
    note: str
    facts: Mapping[str, Value]


def read_case(path: Path, base: RuleBase) -> Case:
    """Read and check a case file.

    Raises:
        BadFile: not a readable YAML, JSON or TOML file.
        BadCase: with every fault found.
    """
    document = read_document(path)
    try:
        file = CaseFile.model_validate(document.content)
    except ValidationError as error:
        raise BadCase(_reworded(document, error, base)) from None
    faults: list[Fault] = []
    facts: dict[str, Value] = {}
    for name, text in file.facts.items():
        try:
            facts[name] = read_fact(base, name, text, document.where("facts", name))
        except BadCase as error:
            faults += error.faults
    faults += _contradictions(base, facts, document)
    if faults:
        raise BadCase(faults)
    return Case(file.floor or path.stem.replace("_", " "), file.note or "", facts)


def read_fact(base: RuleBase, name: str, text: str | None, where: str) -> Value:
    """Read one fact by its kind in the vocabulary.

    Raises:
        BadCase: naming the fact, what was given, what is allowed, and how to find the right value.
    """
    kind = base.facts.get(name)
    if kind is None:
        raise BadCase(
            [
                Fault(
                    where,
                    f'I do not know the fact "{name}"',
                    remedy=f"{nearest(name, base.facts)} All facts: advisor facts".strip(),
                )
            ]
        )
    if not kind.ask:
        given = ", ".join(kind.computed.inputs) if kind.computed else ""
        raise BadCase(
            [
                Fault(
                    where,
                    f'"{name}" is worked out and cannot be given',
                    remedy=f"Give what it follows from: {given}",
                )
            ]
        )
    text = " ".join((text or UNKNOWN).split())
    if text.lower() == UNKNOWN:
        return unknown(kind)
    shown = text if len(text) <= 60 else f"{text[:57]}..."
    if len(text) > LONGEST_VALUE:
        raise BadCase([_misfit(kind, name, shown, "it is too long", where)])
    if kind.type == "number":
        try:
            return number(read_quantity(text, kind.unit, kind.plausible), kind.unit, shown=text)
        except NotAQuantity as error:
            raise BadCase([_misfit(kind, name, shown, str(error), where)]) from None
    value = text.lower().replace(" ", "_").replace("-", "_")
    if value not in kind.choices:
        hint = nearest(value, kind.choices)
        raise BadCase([_misfit(kind, name, shown, f"it is not one of its values. {hint}".strip(), where)])
    return choice(value)


def _misfit(kind: FactKind, name: str, text: str, why: str, where: str) -> Fault:
    return Fault(
        where,
        f'{name} is given as "{text}": {why}',
        describe_allowed(kind),
        f"How to find out: {kind.find_out}",
    )


def describe_allowed(kind: FactKind) -> str:
    """What a fact may be given as, in one line."""
    if kind.type != "number":
        return f"{', '.join(kind.choices)}, or {UNKNOWN}"
    units = spell_units(kind.unit)
    return f"{show(kind.plausible, kind.unit)} (units: {units}), a range such as A to B, or {UNKNOWN}"


def _reworded(document: Document, error: ValidationError, base: RuleBase) -> list[Fault]:
    faults = []
    for each in error.errors():
        place = tuple(str(part) for part in each["loc"])
        name, where = place[-1] if place else "the case", document.where(*place)
        if each["type"] == "missing":
            faults.append(
                Fault(
                    where,
                    "there is no `facts:` in it",
                    "`floor`, `note`, `facts`",
                    "Write a blank case: advisor new FILE",
                )
            )
        elif each["type"] == "extra_forbidden":
            hint = "Indent it under `facts:`." if name in base.facts else nearest(name, CaseFile.model_fields)
            faults.append(Fault(where, f'I do not know the entry "{name}"', "`floor`, `note`, `facts`", hint))
        elif place[:1] == ("facts",) and len(place) > 1:
            faults.append(
                Fault(
                    where,
                    f"{place[1]} is given as {_kind_of(each['input'])}",
                    "one text, as in `slab_thickness: 4 in`",
                )
            )
        else:
            faults.append(
                Fault(
                    where,
                    f'"{name}" is {_kind_of(each["input"])} or too long',
                    "`facts` holds `name: value` lines",
                )
            )
    return faults


def _kind_of(value: object) -> str:
    return {list: "a list", dict: "a group of entries", type(None): "empty"}.get(type(value), "text")


def _contradictions(base: RuleBase, facts: Mapping[str, Value], document: Document) -> list[Fault]:
    found = []
    for contradiction in contradicted(base, facts):
        names = list(contradiction.when)
        where = document.where("facts", names[0])
        stated = ", ".join(
            f"{name} {facts[name].shown}" for name in base.facts if name in _named(contradiction.when, facts)
        )
        found.append(
            Fault(
                where,
                f"{contradiction.says} ({stated})",
                remedy="One of them must be wrong; check both, or write unknown.",
            )
        )
    return found


def _named(when: Mapping[str, tuple[str, ...]], facts: Mapping[str, Value]) -> set[str]:
    words = " ".join(text for texts in when.values() for text in texts).replace("fact.", " ").split()
    return (set(when) | set(words)) & set(facts)
