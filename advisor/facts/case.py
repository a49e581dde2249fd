"""A case: one floor's facts as somebody wrote them down, read against the vocabulary."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.errors import BadCase, Fault, nearest
from advisor.facts.quantities import NotAQuantity, read_quantity, show, spell_units
from advisor.facts.setting_aside import SetAside, doubts, outdated
from advisor.facts.statements import Statement, read_statement
from advisor.facts.values import Value, choice, number, unknown
from advisor.inference.grounding import contradicted
from advisor.rulebase.documents import Document, read_document
from advisor.rulebase.knowledge import UNKNOWN, FactKind, RuleBase

LONGEST_VALUE = 200  # characters; no fact needs more
LONGEST = {"floor": 200, "note": 2000}  # characters of what stands beside the facts


class CaseFile(BaseModel):
    """The form of a case file: a title, a note, and facts by name."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    floor: str | None = Field(
        default="", max_length=LONGEST["floor"], description="A name for the floor, for the heading of the answer."
    )
    note: str | None = Field(
        default="", max_length=LONGEST["note"], description="Anything worth remembering; not reasoned about."
    )
    facts: dict[str, Any] = Field(
        description="The facts by name, as `advisor facts` lists them: a text, or `{is: TEXT, on: DATE, by: NAME}`."
    )


@dataclass(frozen=True)
class Case:
    """A floor: its name, a note, and the facts that were stated (unknown ones included).

    `facts` are those to reason from: what was set aside is unknown in them. `stated` is what was said, word for word.
    """

    floor: str
    note: str
    facts: Mapping[str, Value]
    stated: Mapping[str, Statement] = field(default_factory=dict)
    set_aside: tuple[SetAside, ...] = ()


def read_case(path: Path, base: RuleBase, today: date | None = None) -> Case:
    """Read and check a case file.

    Args:
        path: the file.
        base: for the vocabulary.
        today: the date against which tests age; the current one if not given.

    Raises:
        BadFile: not a readable YAML, JSON or TOML file.
        BadCase: with every fault found.
    """
    document, today = read_document(path), today or date.today()
    try:
        file = CaseFile.model_validate(document.content)
    except ValidationError as error:
        raise BadCase(_reworded(document, error, base)) from None
    faults: list[Fault] = []
    stated: dict[str, Statement] = {}
    for name, entry in file.facts.items():
        try:
            stated[name] = read_statement(name, entry, document.where("facts", name), today)
        except BadCase as error:
            faults += error.faults
    try:
        case = make_case(
            base, stated, today, file.floor or path.stem.replace("_", " "), file.note or "", document
        )
    except BadCase as error:
        faults += error.faults
    if faults:
        raise BadCase(faults)
    return case


def make_case(
    base: RuleBase,
    stated: Mapping[str, Statement],
    today: date,
    floor: str = "",
    note: str = "",
    document: Document | None = None,
) -> Case:
    """Read the facts as stated, and set aside what is out of date and what hardly goes together.

    Args:
        base: for the vocabulary.
        stated: what was said of each fact.
        today: the date against which tests age.
        floor: the floor's name.
        note: anything else.
        document: where it stands, for the messages.

    Raises:
        BadCase: with every fault found.
    """
    faults: list[Fault] = []
    facts: dict[str, Value] = {}
    for name, statement in stated.items():
        try:
            value = read_fact(base, name, statement.text, _where(document, name))
            facts[name] = replace(value, note=statement.source) if value.known else value
        except BadCase as error:
            faults += error.faults
    facts = {**_asked_in_vain(base, facts), **facts}
    faults += _contradictions(base, facts, document)
    if faults:
        raise BadCase(faults)
    aside = [*outdated(base, stated, facts, today)]
    for each in aside:
        facts |= {name: unknown(base.facts[name]) for name in each.facts}
    doubted = doubts(base, facts)
    for each in doubted:
        facts |= {name: unknown(base.facts[name]) for name in each.facts}
    return Case(floor, note, facts, stated, (*aside, *doubted))


def _asked_in_vain(base: RuleBase, facts: Mapping[str, Value]) -> dict[str, Value]:
    """Said to be unknown is more than not said: where it matters, the fact that nobody can tell is a fact itself."""
    declined = (base.facts[name].unknown_means for name, value in facts.items() if not value.known)
    return {companion: choice("yes") for companion in declined if companion}


def _where(document: Document | None, name: str) -> str:
    return document.where("facts", name) if document else name


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
    value = text.lower().replace(".", "").replace(" ", "_").replace("-", "_")
    value = next((known for known, others in kind.also.items() if value in others), value)
    if kind.type == "yes/no":
        value = {"true": "yes", "false": "no"}.get(value, value)
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
    astray = [str(each["loc"][0]) for each in error.errors() if each["type"] == "extra_forbidden"]
    astray = [name for name in astray if name in base.facts]  # told once, however many
    if astray:
        named = ", ".join(astray[:3]) + (f" and {len(astray) - 3} more" if len(astray) > 3 else "")
        what = f"{named} {'stands' if len(astray) == 1 else 'stand'} beside `facts:`, not under it"
        remedy = "Write `facts:` on a line of its own and indent the facts under it."
        faults.append(Fault(document.where(astray[0]), what, "`floor`, `note`, `facts`", remedy))
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
                    "`floor`, `note`, `facts`",
                    "Write a blank case: advisor new FILE",
                )
            )
        elif each["type"] == "extra_forbidden":
            hint = nearest(name, CaseFile.model_fields)
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
            faults.append(_misformed(name, each["input"], where))
    return faults


def _misformed(name: str, value: object, where: str) -> Fault:
    """An entry of the file itself that is not what it must be."""
    if name != "facts":
        what = "too long" if isinstance(value, str) else _kind_of(value)
        return Fault(where, f'"{name}" is {what}', f"one text of at most {LONGEST[name]} characters")
    what = f'given as "{value[:40]}"' if isinstance(value, str) else _kind_of(value)
    remedy = "Write each fact on a line of its own, indented, as `  slab_thickness: 4 in`; with no facts, `facts: {}`."
    return Fault(where, f"`facts` is {what}", "`name: value` lines beneath `facts:`", remedy)


def _kind_of(value: object) -> str:
    return {list: "a list", dict: "a group of entries", type(None): "empty"}.get(type(value), "text")


def _contradictions(base: RuleBase, facts: Mapping[str, Value], document: Document | None) -> list[Fault]:
    found = []
    for contradiction in contradicted(base, facts):
        names = list(contradiction.when)
        where = _where(document, names[0])
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
