"""Reading the files under `rules/` into one `RuleBase`: the only reader of that folder.

All faults are collected and raised together, each with file and line. What each section means to the reasoning is
checked in `checks`; this module checks their form.
"""

from __future__ import annotations

import hashlib
import re
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from advisor import knowledge
from advisor.documents import Document, Place, read_document
from advisor.errors import BadFile, BadRuleBase, Fault, nearest
from advisor.knowledge import Finish, PropertyValue, RuleBase
from advisor.physics.bounds import Interval
from advisor.quantities import UNITS, NotAQuantity, read_quantity

SECTIONS: dict[str, type[BaseModel]] = {
    "facts": knowledge.FactKind,
    "properties": knowledge.Property,
    "limits": knowledge.Limit,
    "findings": knowledge.Finding,
    "needs": knowledge.Need,
    "cautions": knowledge.Caution,
    "referrals": knowledge.Referral,
    "criteria": knowledge.Criterion,
    "contradictions": knowledge.Contradiction,
    "sources": knowledge.Source,
}
OTHER_SECTIONS = ("rules", "finish", "importance", "about")
WITHOUT_LIMIT = "none"
ANY_NUMBER = Interval(-1e15, 1e15)


def rules_folder() -> Path:
    """The shipped rule base: inside an installed package, else beside it in the checkout."""
    inside = Path(__file__).parent / "rules"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "rules"


@cache
def load_rulebase(folder: Path | None = None) -> RuleBase:
    """Read, check and return the rule base in `folder` (the shipped one if not given).

    Raises:
        BadRuleBase: with every fault found, each with file and line.
    """
    from advisor.checks import check

    reader = Reader(folder or rules_folder())
    base = reader.read()
    if not reader.faults:
        reader.faults += check(base, reader.where)
    if reader.faults:
        raise BadRuleBase(reader.faults)
    return base


class Reader:
    """Collects the entries of every file, their places, and the faults."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.faults: list[Fault] = []
        self.sections: dict[str, dict[str, Any]] = {name: {} for name in (*SECTIONS, "finishes", "rules")}
        self.importance: dict[str, int] = {}
        self.version = ""
        self.places: dict[tuple[str, str], tuple[Document, Place]] = {}

    def read(self) -> RuleBase:
        """Read every file; what is malformed is left out and noted in `faults`."""
        digest = hashlib.sha256()
        paths = sorted(self.folder.rglob("*.yaml"))
        if not paths:
            self.faults.append(
                Fault(str(self.folder.name), "no rule files are here", "a folder with .yaml files")
            )
        for path in paths:
            try:
                document = read_document(path)
            except BadFile as error:
                self.faults += error.faults
                continue
            digest.update(
                path.relative_to(self.folder).as_posix().encode() + b"\0" + path.read_bytes() + b"\0"
            )
            self._take(document)
        self._read_ranges()
        self._read_properties()
        marks = {
            "importance": self.importance,
            "version": self.version,
            "fingerprint": digest.hexdigest()[:16],
        }
        return RuleBase.model_construct(None, **self.sections, **marks)

    def where(self, section: str, name: str, *inner: str) -> str:
        """File and line of an entry, or of a part of it."""
        document, place = self.places[section, name]
        return document.where(*place, *inner)

    def _take(self, document: Document) -> None:
        content = dict(document.content)
        if "finish" in content:
            self._take_finish(document, content.pop("finish"), content.pop("properties", {}))
        for name, entries in content.items():
            if name == "rules":
                self._take_rules(document, entries)
            elif name == "about":
                self.version = str((entries or {}).get("version", ""))
            elif name == "importance":
                self._take_importance(document, entries)
            elif name not in SECTIONS:
                hint = nearest(name, (*SECTIONS, *OTHER_SECTIONS))
                self._fault(document, (name,), f'I do not know the section "{name}"', hint)
            elif not isinstance(entries, dict):
                self._fault(document, (name,), f'the section "{name}" must be names with entries')
            else:
                for key, entry in entries.items():
                    self._add(document, SECTIONS[name], name, key, entry, (name, key))

    def _take_rules(self, document: Document, entries: Any) -> None:
        if not isinstance(entries, list):
            self._fault(
                document, ("rules",), 'the section "rules" must be a list of rules, each with `- id: ...`'
            )
            return
        for index, entry in enumerate(entries):
            name = str(entry.get("id", index)) if isinstance(entry, dict) else str(index)
            self._add(document, knowledge.Rule, "rules", name, entry, ("rules", str(index)))

    def _take_importance(self, document: Document, entries: Any) -> None:
        for name, weight in (entries or {}).items():
            if not re.fullmatch(r"\d{1,3}", str(weight)):
                self._fault(document, ("importance", name), f'the weight of "{name}" must be a whole number')
            else:
                self.importance[name] = int(weight)

    def _take_finish(self, document: Document, head: Any, values: Any) -> None:
        name = str(head.get("id", "?")) if isinstance(head, dict) else "?"
        finish = self._add(document, Finish, "finishes", name, head, ("finish",))
        if not isinstance(finish, Finish):
            return
        properties: dict[str, PropertyValue] = {}
        for key, value in (values or {}).items():
            try:
                properties[key] = PropertyValue.model_validate(value)
            except ValidationError as error:
                self._reword(document, ("properties", key), error)
        self.sections["finishes"][name] = finish.model_copy(update={"properties": properties})

    def _add(
        self, document: Document, model: type[BaseModel], section: str, name: str, entry: Any, place: Place
    ) -> BaseModel | None:
        if (section, name) in self.places:
            first = self.where(section, name)
            self._fault(
                document, place, f'"{name}" is there a second time; the first is in {first}', "each id once"
            )
            return None
        self.places[section, name] = document, place
        try:
            made = model.model_validate(entry if entry is not None else {})
        except ValidationError as error:
            self._reword(document, place, error)
            return None
        self.sections[section][name] = made
        return made

    def _reword(self, document: Document, place: Place, error: ValidationError) -> None:
        for each in error.errors():
            inner = tuple(str(part) for part in each["loc"])
            field = ".".join(inner) or "the entry"
            if each["type"] == "extra_forbidden":
                self._fault(document, (*place, *inner), f'"{inner[-1]}" is not known here')
            elif each["type"] == "missing":
                self._fault(document, (*place, *inner), f'"{field}" is missing')
            else:
                message = each["msg"].lower().removeprefix("value error, ")
                self._fault(
                    document, (*place, *inner), f'"{field}" is wrong ({str(each["input"])[:60]!r}): {message}'
                )

    def _fault(self, document: Document, place: Place, what: str, remedy: str = "") -> None:
        self.faults.append(Fault(document.where(*place), what, remedy=remedy))

    def _read_ranges(self) -> None:
        """Read each number fact's plausible range into its unit."""
        for name, kind in self.sections["facts"].items():
            if kind.type != "number":
                continue
            if kind.unit not in UNITS:
                self.faults.append(
                    Fault(self.where("facts", name), f'the unit "{kind.unit}" is not known', ", ".join(UNITS))
                )
                continue
            plausible = self._quantity(kind.range, kind.unit, ("facts", name, "range"))
            if plausible:
                self.sections["facts"][name] = kind.model_copy(update={"plausible": plausible})

    def _read_properties(self) -> None:
        """Read each finish's property values by the type of the property."""
        for finish_id, finish in self.sections["finishes"].items():
            read = {
                name: value.model_copy(update=self._property(finish_id, name, value))
                for name, value in finish.properties.items()
            }
            self.sections["finishes"][finish_id] = finish.model_copy(update={"properties": read})
            for missing in self.sections["properties"].keys() - finish.properties.keys():
                where = self.where("finishes", finish_id)
                self.faults.append(Fault(where, f'{finish_id}: the property "{missing}" is missing'))

    def _property(self, finish: str, name: str, value: PropertyValue) -> dict[str, Any]:
        document = self.places["finishes", finish][0]
        kind = self.sections["properties"].get(name)
        if kind is None:
            hint = nearest(name, self.sections["properties"])
            self._fault(document, ("properties", name), f'I do not know the property "{name}"', hint)
        elif kind.type == "number":
            if value.given == WITHOUT_LIMIT:
                return {"interval": None}
            try:
                return {"interval": read_quantity(str(value.given), kind.unit, ANY_NUMBER)}
            except NotAQuantity as error:
                self._fault(document, ("properties", name), f'"{value.given}" for {name}: {error}')
        else:
            given = (value.given,) if isinstance(value.given, str) else value.given
            if kind.type != "choices" and len(given) != 1:
                self._fault(document, ("properties", name), f"{name} has one value, not {len(given)}")
            for each in set(given) - set(kind.choices):
                allowed = ", ".join(kind.choices)
                self._fault(
                    document, ("properties", name), f'"{each}" is not a value of {name}; allowed: {allowed}'
                )
            return {"choices": given}
        return {}

    def _quantity(self, text: str, unit: str, place: tuple[str, str, str]) -> Interval | None:
        try:
            return read_quantity(text, unit, ANY_NUMBER)
        except NotAQuantity as error:
            self.faults.append(Fault(self.where(*place), f'"{text}" for {place[1]}: {error}'))
            return None
