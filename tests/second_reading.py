"""A second reading of the rule base, from the YAML on, that shares nothing with the first but the reader of files.

It follows DEVELOPERS.md word for word and slowly: a condition is a question about the worlds that a fact allows, asked
of a few values of each interval (its ends and its middle); rules are tried for each finish by name, over and over,
until nothing new is concluded. It knows no ground rules, no patterns, no comparisons of ends.
"""

from __future__ import annotations

import operator
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.model.quantities import read_quantity
from advisor.model.values import Value
from advisor.physics.bounds import Interval
from advisor.rulebase.documents import read_document

ORDERS = {"above": operator.gt, "at least": operator.ge, "below": operator.lt, "at most": operator.le}
ANY = Interval(-1e15, 1e15)
Fired = tuple[str, str]  # a rule, and the finish that it judged or nothing


def listed(text: Any) -> list[str]:
    """A list, or a text that stands for a list of one."""
    return [text] if isinstance(text, str) else list(text)


def read(unit: str, text: str) -> list[float]:
    """Some values of an interval: its ends and its middle."""
    return of(read_quantity(text, unit, ANY))


def of(interval: Interval) -> list[float]:
    """Some values of an interval: its ends and its middle."""
    return [interval.low, (interval.low + interval.high) / 2, interval.high]


@dataclass(frozen=True)
class Asked:
    """A condition on one fact, with the values that it compares with."""

    fact: str  # as the working memory names it
    text: str
    compared: tuple[float | str, ...] | None  # None: what it compares with is not there


class SecondReading:
    """The shipped rules, read anew."""

    def __init__(self, folder: Path) -> None:
        self.sections: dict[str, dict[str, Any]] = {}
        self.finishes: dict[str, dict[str, Any]] = {}
        self.rules: list[dict[str, Any]] = []
        for path in sorted(folder.rglob("*.yaml")):
            content = read_document(path).content
            self.rules += content.pop("rules", [])
            if "finish" in content:
                self.finishes[content.pop("finish")["id"]] = content.pop("properties")
            for section, entries in content.items():
                if isinstance(entries, dict):
                    self.sections.setdefault(section, {}).update(entries)
        self.facts, self.findings = self.sections["facts"], self.sections["findings"]
        self.tried = [(rule["id"], f, asked, found) for rule in self.rules for f, asked, found in self.instances(rule)]

    def instances(self, rule: Mapping[str, Any]) -> Iterable[tuple[str, list[Asked], list[str]]]:
        """The finishes that a rule judges (or nothing), what is then asked, and the findings concluded."""
        judges = rule.get("judges")
        for finish in [""] if judges is None else self.finishes:
            if isinstance(judges, dict) and not all(self.suits(finish, *each) for each in judges.items()):
                continue
            asked = [self.asked(n, text, finish) for n, texts in rule.get("when", {}).items() for text in listed(texts)]
            if all(each.compared is not None for each in asked):
                found = [self.named(each, finish) for each in listed(rule["then"].get("finding", []))]
                yield finish, asked, found

    def named(self, name: str, finish: str) -> str:
        """A fact or finding as the working memory names it."""
        kind = self.findings.get(name) or self.facts[name]
        return f"{name}@{finish}" if kind.get("of") == "finish" else name

    def suits(self, finish: str, name: str, texts: Any) -> bool:
        """Whether a finish's property meets what a rule judges by."""
        if name == "id":
            return all(finish in words(text) for text in listed(texts))
        kind, given = self.sections["properties"][name], self.finishes[finish][name]["is"]
        for text in listed(texts):
            if kind["type"] == "number":
                compared = self.operand(kind["unit"], text, finish)
                if given == "none" or compared is None or not holds(text, read(kind["unit"], given), True, compared):
                    return False
            elif any(each in words(text) for each in listed(given)) == negated(text):
                return False
        return True

    def asked(self, name: str, text: str, finish: str) -> Asked:
        """A condition on a fact, with what it compares with."""
        kind = self.facts.get(name, {"type": "finding"})
        compared: Iterable[float | str] | None = ()
        if kind["type"] == "number" and "." in text:
            compared = self.operand(kind["unit"], text, finish)
        elif "among finish." in text:
            compared = listed(self.finishes[finish][text.split("finish.")[1]]["is"])
        elif kind["type"] in ("choice", "yes/no"):
            compared = words(text)
        return Asked(self.named(name, finish), text, None if compared is None else tuple(compared))

    def limit(self, name: str) -> str:
        """A limit as it is written; the end of a calendar year as whole years since."""
        entry = self.sections["limits"][name]
        if "end_of" not in entry:
            return str(entry["is"])
        return f"{int(self.sections['norms']['this_year']['is']) - int(entry['end_of']) - 1} years"

    def operand(self, unit: str, text: str, finish: str) -> list[float] | None:
        """Values of the limit or property that a text compares with; None where the finish has none."""
        where, _, name = text.split()[-1].partition(".")
        given = self.limit(name) if where == "limit" else self.finishes[finish][name]["is"]
        return None if given == "none" else read(unit, given)

    def choices(self, fact: str) -> list[str]:
        """All values of a choice."""
        kind = self.facts[fact.partition("@")[0]]
        kind = self.facts[kind["values_of"]] if "values_of" in kind else kind
        return ["yes", "no"] if kind["type"] == "yes/no" else list(kind["values"])

    def fired(self, memory: Mapping[str, Value]) -> set[Fired]:
        """The rules that fire on a floor, each with the finish that it judged."""
        seen: dict[Asked, bool] = {}
        found: set[str] = set()
        fired: set[Fired] = set()

        def met(asked: Asked) -> bool:
            if asked.text == "holds":
                return asked.fact in found
            if asked not in seen:
                seen[asked] = self.met(asked, memory[asked.fact])
            return seen[asked]

        # A rule that a fact of the floor fails can never fire: only findings change.
        left = [each for each in self.tried if all(asked.text == "holds" or met(asked) for asked in each[2])]
        before = -1
        while before < len(fired):
            before = len(fired)
            for rule, finish, asked, concluded in left:
                if (rule, finish) not in fired and all(map(met, asked)):
                    fired.add((rule, finish))
                    found.update(concluded)
        return fired

    def met(self, asked: Asked, value: Value) -> bool:
        """Whether a fact, as known, meets a condition."""
        if asked.text in ("known", "unknown"):
            return value.known == (asked.text == "known")
        assert asked.compared is not None
        if value.interval is not None:
            return holds(asked.text, of(value.interval), True, asked.compared)
        worlds = [value.choice] if value.known else self.choices(asked.fact)
        return holds(asked.text, worlds, value.known, asked.compared)


def words(text: str) -> list[str]:
    """The values that a condition names."""
    for lead in ("may be ", "one of ", "none of ", "includes ", "is ", "not "):
        text = text.removeprefix(lead)
    return [each.strip() for each in text.split(",")]


def negated(text: str) -> bool:
    """Whether it asks for what is not among the values."""
    return text.removeprefix("may be ").startswith(("not ", "none of "))


def holds(text: str, worlds: Iterable[Any], known: bool, compared: Iterable[Any]) -> bool:
    """In every world and for everything compared; after `may be`, in some. A choice surely, only if it is known."""
    may, compared = text.startswith("may be "), list(compared)
    for order, true in ORDERS.items():
        if text.removeprefix("may be ").startswith(f"{order} "):
            return (any if may else all)(true(world, other) for world in worlds for other in compared)
    among = [(world in compared) != negated(text) for world in worlds]
    return any(among) if may else known and all(among)
