"""What a contractor's quote should say, and what is agreed on before the floor is accepted. Models, as data."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.model.entry import Entry, Sources, Text, Texts


class QuotedLine(Entry):
    """A line that a quote should hold: what it is, in which unit, and what to ask where it is missing."""

    name: Text
    also: Texts = ()  # other headings under which quotes hold it
    spellings: dict[str, Texts] = Field(default={})  # of what it may name, the words that contractors write
    nothing: Texts = ()  # words by which it names none at all
    passes: Texts = ()  # words beside a price that look like money and are none
    kind: Literal["amount", "money", "choice", "list", "words", "beside"]  # words are not weighed; beside: of no matter
    unit: str = ""  # of an amount
    range: str = ""  # what an amount can plausibly be
    example: str
    ask: Text
    where: dict[str, Texts] = Field(default={})  # properties of the finishes for which it matters; left out: all
    source: Sources


class AcceptanceTest(Entry):
    """What is tried or measured before the floor is paid for: on which finishes, how, and what to write down first."""

    title: Text
    says: Text
    agree: Text
    where: dict[str, Texts] = Field(default={})
    source: Sources
