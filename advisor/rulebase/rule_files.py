"""Files of rules read layer by layer into sections of entries, each with its place: the form, not yet the meaning.

What is malformed is left out and noted as a fault with file and line, so that all faults are found in one reading.
"""

from __future__ import annotations

import hashlib
import re
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple, get_args

from pydantic import BaseModel, ValidationError

from advisor.errors import BadFile, Fault, nearest
from advisor.model.entry import Added, Entry
from advisor.model.finishes import Finish, PropertyValue
from advisor.model.knowledge import Overlay, RuleBase
from advisor.model.materials import Norm
from advisor.model.rules import Rule
from advisor.model.years import aged
from advisor.rulebase.documents import Document, Place, read_document
from advisor.rulebase.folders import rule_paths
from advisor.rulebase.rule_values import read_values
from explanations.wording import wording

ENTRIES: dict[str, type[Entry]] = {
    name: get_args(field.annotation)[1]
    for name, field in RuleBase.model_fields.items()
    if isinstance(field.default, dict) and issubclass(get_args(field.annotation)[1], Entry)
}
RULE_LISTS = ("rules", "cause_rules")
SECTIONS = {name: model for name, model in ENTRIES.items() if name not in ("finishes", *RULE_LISTS)}
OTHER_SECTIONS = (*RULE_LISTS, "finish", "importance", "about")
ID = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,79}")
MOST_WEIGHT = 20  # of a point; a rank has room for so much


class _Added(Entry):
    """An entry laid over another that only adds to its words."""

    adds: Added


class Entered(NamedTuple):
    """Where an entry stands: in which layer (0 is the shipped rule base), in which document, and at which place."""

    layer: int
    document: Document
    place: Place


class RuleFiles:
    """The entries of every file read so far, their places, and the faults."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.left_out: dict[str, set[str]] = defaultdict(set)
        self.sections: dict[str, dict[str, Any]] = {name: {} for name in ENTRIES}
        self.importance: dict[str, int] = {}
        self.version = ""
        self.overlays: list[Overlay] = []
        self._places: dict[tuple[str, str], Entered] = {}
        self._digest = hashlib.sha256()
        self._layers: list[str] = []  # what stands before a file's name in messages; nothing for the shipped ones

    def read(self, folder: Path) -> RuleBase:
        """Lay the files of a folder over those read before: new entries are added, others replaced by their id."""
        below = {name: dict(entries) for name, entries in self.sections.items()}
        weights, version, layer = dict(self.importance), self.version, len(self._layers)
        self.version = ""
        self._layers.append(f"{folder.name}/" if layer else "")
        for document in self._documents(folder):
            self._take(document)
        for section, name, fault in read_values(self.sections, self.where):
            self.faults.append(fault)
            self.left_out[section].add(name)
        if layer:
            self.overlays.append(self._overlay(folder.name, {**below, "importance": weights}))
            self.version = version  # the overlay's own stands with its name
        sections = {
            name: {key: entry for key, entry in entries.items() if key not in self.left_out[name]}
            for name, entries in self.sections.items()
        }
        return RuleBase.model_construct(
            None,
            **{**sections, "limits": aged(sections["limits"], sections["norms"])},
            importance=dict(self.importance),
            version=self.version,
            fingerprint=self._digest.hexdigest()[:16],
            overlays=tuple(self.overlays),
        )

    def copy(self) -> RuleFiles:
        """The same files read, for others to be laid over them."""
        other = RuleFiles()
        other.faults = [*self.faults]
        other.left_out.update({section: set(names) for section, names in self.left_out.items()})
        other.sections = {name: dict(entries) for name, entries in self.sections.items()}
        other.importance, other.version = dict(self.importance), self.version
        other.overlays, other._layers = [*self.overlays], [*self._layers]
        other._places, other._digest = dict(self._places), self._digest.copy()
        return other

    def note_safety(self, told: tuple[str, ...]) -> None:
        """Keep with the overlay read last what it changes in matters of safety, in sentences."""
        self.overlays[-1] = self.overlays[-1].model_copy(update={"safety": told})

    def where(self, section: str, name: str, *inner: str) -> str:
        """File and line of an entry, or of a part of it."""
        entered = self._places[section, name]
        own = (*entered.place, *inner) if inner[:1] != ("properties",) else inner  # beside `finish:`, not in it
        return self._layers[entered.layer] + entered.document.where(*own)

    def layer_of(self, section: str, name: str) -> int:
        """The layer that an entry comes from."""
        return self._places[section, name].layer

    def _documents(self, folder: Path) -> list[Document]:
        paths = rule_paths(folder)
        if not paths:
            what = wording("folders.no_files" if folder.is_dir() else "folders.no_folder")
            self.faults.append(Fault(str(folder.name), what, wording("folders.with_files")))
        documents = []
        for path in paths:
            try:
                documents.append(read_document(path, empty="folders.entries"))
            except BadFile as error:
                self.faults += [replace(each, where=self._layers[-1] + each.where) for each in error.faults]
                continue
            name = path.relative_to(folder).as_posix().encode()
            self._digest.update(name + b"\0" + path.read_bytes() + b"\0")
        self._digest.update(folder.name.encode() if len(self._layers) > 1 else b"")
        return documents

    def _overlay(self, name: str, before: dict[str, dict[str, Any]]) -> Overlay:
        now = {**self.sections, "importance": self.importance}
        changed = [
            (section, key)
            for section, entries in now.items()
            for key, entry in entries.items()
            if entry != before[section].get(key)
        ]
        return Overlay(
            name=name,
            version=self.version,
            added=tuple(f"{section} {key}" for section, key in changed if key not in before[section]),
            replaced=tuple(f"{section} {key}" for section, key in changed if key in before[section]),
        )

    def _take(self, document: Document) -> None:
        content = dict(document.content)
        if "finish" in content:
            self._take_finish(document, content.pop("finish"), content.pop("properties", {}))
        for name, entries in content.items():
            if name in RULE_LISTS:
                self._take_rules(document, name, entries)
            elif name in ("about", "importance"):
                if not isinstance(entries, dict):
                    self._fault(document, (name,), wording("folders.names_values", name=name))
                elif name == "about":
                    self.version = str(entries.get("version", ""))
                else:
                    self._take_importance(document, entries)
            elif name not in SECTIONS:
                hint = nearest(name, (*SECTIONS, *OTHER_SECTIONS))
                self._fault(document, (name,), wording("folders.no_section", name=name), remedy=hint)
            elif not isinstance(entries, dict):
                self._fault(document, (name,), wording("folders.names_entries", name=name))
            else:
                for key, entry in entries.items():
                    self._add(document, SECTIONS[name], name, key, entry, (name, key))

    def _take_rules(self, document: Document, section: str, entries: Any) -> None:
        if not isinstance(entries, list):
            what = wording("folders.list_of_rules", name=section)
            self._fault(document, (section,), what)
            return
        for index, entry in enumerate(entries):
            name = str(entry.get("id", index)) if isinstance(entry, dict) else str(index)
            self._add(document, Rule, section, name, entry, (section, str(index)))

    def _take_importance(self, document: Document, entries: dict[str, Any]) -> None:
        for name, weight in entries.items():
            if not re.fullmatch(r"\d{1,3}", str(weight)) or not 1 <= int(weight) <= MOST_WEIGHT:
                what = wording("rules.weight", name=name, most=MOST_WEIGHT)
                self._fault(document, ("importance", name), what, wording("rules.weight_allowed", most=MOST_WEIGHT))
            else:
                self.importance[name] = int(weight)

    def _take_finish(self, document: Document, head: Any, values: Any) -> None:
        name = str(head.get("id", "?")) if isinstance(head, dict) else "?"
        beneath = self.sections["finishes"].get(name)
        differs = isinstance(beneath, Finish) and isinstance(head, dict) and [*head] == ["id"]
        if differs and isinstance(beneath, Finish):  # only what differs: the rest stands as beneath
            head = beneath.model_dump(exclude={"properties"})
        finish = self._add(document, Finish, "finishes", name, head, ("finish",))
        if not isinstance(finish, Finish):
            return
        properties: dict[str, PropertyValue] = dict(beneath.properties) if differs and beneath else {}
        for key, value in (values or {}).items():
            try:
                properties[key] = PropertyValue.model_validate(value)
            except ValidationError as error:
                self.left_out["finishes"].add(name)
                self._reword(document, ("properties", key), error, PropertyValue)
        self.sections["finishes"][name] = finish.model_copy(update={"properties": properties})

    def _add(
        self, document: Document, model: type[BaseModel], section: str, name: str, entry: Any, place: Place
    ) -> BaseModel | None:
        layer = len(self._layers) - 1
        if section not in RULE_LISTS and not ID.fullmatch(name):
            self._fault(document, place, wording("rules.id", name=name), wording("rules.id_allowed"))
            return None
        if (section, name) in self._places and self.layer_of(section, name) == layer:
            first = self.where(section, name)
            what = wording("folders.second_time", name=name, first=first)
            self._fault(document, place, what, wording("folders.each_id_once"))
            return None
        self._places[section, name] = Entered(layer, document, place)
        earlier = self.sections[section].get(name)
        if isinstance(earlier, Norm) and earlier.range and isinstance(entry, dict):
            entry = {"range": earlier.range, **entry}  # what it can plausibly be holds for what is laid over, too
        try:
            if (
                isinstance(earlier, Entry)
                and "adds" in model.model_fields
                and isinstance(entry, dict)
                and [*entry] == ["adds"]
            ):
                more = _Added.model_validate(entry).adds  # what it adds to stands in the layer beneath, whole
                made: BaseModel = earlier.model_copy(update={"adds": (*vars(earlier)["adds"], *more)})
            else:
                made = model.model_validate(entry if entry is not None else {})
        except ValidationError as error:
            self.left_out[section].add(name)
            self._reword(document, place, error, model)
            return None
        self.sections[section][name] = made
        return made

    def _reword(self, document: Document, place: Place, error: ValidationError, model: type[BaseModel]) -> None:
        for each in error.errors():
            inner = tuple(str(part) for part in each["loc"])
            field, allowed, remedy = ".".join(inner) or wording("folders.the_entry"), "", ""
            if each["type"] == "extra_forbidden":
                what = wording("folders.not_known", name=inner[-1])
                if len(inner) == 1:
                    known = sorted(names.alias or name for name, names in model.model_fields.items())
                    allowed, remedy = ", ".join(known), nearest(inner[-1], known)
            elif each["type"] == "missing":
                what = wording("folders.missing", name=field)
            elif each["type"] == "string_pattern_mismatch" and inner == ("id",):
                what, allowed = wording("rules.id", name=str(each["input"])[:60]), wording("rules.rule_id_allowed")
            else:
                message = each["msg"].lower().removeprefix("value error, ")
                what = wording("folders.wrong", name=field, given=repr(str(each["input"])[:60]), problem=message)
            self._fault(document, (*place, *inner), what, allowed, remedy)

    def _fault(self, document: Document, place: Place, what: str, allowed: str = "", remedy: str = "") -> None:
        self.faults.append(Fault(self._layers[-1] + document.where(*place), what, allowed, remedy))
