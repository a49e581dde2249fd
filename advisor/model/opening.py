"""The questions with which an interview opens."""

from __future__ import annotations

from pydantic import Field

from advisor.model.entry import Entry, Text, Texts, YesNo


class Picked(Entry):
    """A likely answer to an opening question: the facts that it sets, as a case would state them."""

    says: Text
    also: Texts = ()
    sets: dict[str, str]
    leaves: Texts = ()  # facts of the question's `rest` that it leaves open
    hint: str = ""  # said at the end to whoever picked it


class Opening(Entry):
    """A question with which an interview opens; it may set several facts."""

    ask: Text
    why: Text
    find_out: str = ""
    answers: tuple[Picked, ...] = ()
    several: YesNo = False
    rest: dict[str, str] = Field(default={})  # of each fact that none of several answers picked sets
    facts: Texts = ()  # told freely, one piece each
    fact: str = ""  # whose values are the answers
    says: dict[str, Text] = Field(default={})  # in plainer words, by value
    or_facts: Texts = ()  # what is typed may be a value of one of these facts; the answer that sets it is picked
    units: dict[str, Text] = Field(default={})  # of a bare number that says one of these facts
    example: str = ""
    when: dict[str, Texts] = Field(default={})
    always: YesNo = False  # asked unless its facts are known, even if it is not expected to settle anything

    @property
    def settles(self) -> tuple[str, ...]:
        """The facts that it can set."""
        picked = (name for each in self.answers for name in each.sets)
        return tuple(dict.fromkeys((*picked, *self.rest, *self.facts, *([self.fact] if self.fact else ()))))
