"""Which data of the rule base the computed facts read beyond other facts: norms, and properties of finishes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.facts.computing import compute
from advisor.facts.memory import working_memory
from advisor.model.knowledge import RuleBase


class Noted(dict[str, Any]):
    """A dictionary that remembers which of its entries were read."""

    def __init__(self, entries: dict[str, Any]) -> None:
        super().__init__(entries)
        self.read: set[str] = set()

    def __getitem__(self, name: str) -> Any:
        self.read.add(name)
        return super().__getitem__(name)


def read_by(base: RuleBase, facts: Iterable[str]) -> set[tuple[str, str]]:
    """The entries that these computed facts read, each as section (norms or properties) and name.

    Found by working the facts out on a floor of which nothing is known, once for each finish where they are about
    one; what is read only where some fact is known otherwise is not found.
    """
    memory, norms = working_memory(base, {}), Noted(base.norms)
    noting = base.model_copy(update={"norms": norms})
    properties: set[str] = set()
    for name in facts:
        if base.facts[name].of == "floor":
            compute(noting, name, memory)
            continue
        for finish in base.finishes.values():
            values = Noted(finish.properties)
            compute(noting, name, memory, finish.model_copy(update={"properties": values}))
            properties |= values.read
    return {("norms", name) for name in norms.read} | {("properties", name) for name in properties}
