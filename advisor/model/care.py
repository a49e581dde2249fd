"""How a finish is kept. Model, as data."""

from __future__ import annotations

from pydantic import Field

from advisor.model.entry import Entry, Sources, Text, Texts
from advisor.model.materials import Use


class Care(Entry):
    """Something that is done, or minded, as long as the floor lasts; on which finishes, with which use of the floor."""

    title: Text
    says: Text
    every: Text
    where: dict[str, Texts] = Field(default={})  # properties of the finish
    when: dict[str, Texts] = Field(default={})  # facts that must be known so
    uses: dict[str, Use] = Field(default={})  # bought in the first year, besides the upkeep of the procedure
    source: Sources
