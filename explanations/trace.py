"""The record of one inference: the facts it started from and every firing, as plain data that can be saved.

Written once by the advisor; graph, words and pictures are functions of it.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

Origin = Literal["given", "assumed", "computed", "unknown", "found"]


class Record(BaseModel):
    """Base of the trace's parts: frozen, closed."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class FactRecord(Record):
    """A fact as the inference saw it. `name` carries the finish it is about, as in `humidity_beneath@epoxy_solid`."""

    name: str
    value: str
    origin: Origin
    note: str = ""  # a computed fact's formula, an assumed one's source, a finding's sentence
    inputs: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()  # of an assumed value


class LimitRecord(Record):
    """What a condition was compared with: a limit, or a finish's own property, as in `humidity_limit@epoxy_solid`."""

    name: str
    value: str
    means: str
    sources: tuple[str, ...]


class ConclusionRecord(Record):
    """One thing that a firing added; `finish` is empty where it is about the floor."""

    kind: Literal["finding", "rule_out", "first", "hold", "points", "caution", "refer"]
    name: str = ""
    finish: str = ""
    points: int = 0

    @property
    def fact(self) -> str:
        """The name in working memory of a finding."""
        return f"{self.name}@{self.finish}" if self.finish else self.name


class Firing(Record):
    """A rule that fired: on which facts and limits, what it added, the reason with this case's numbers, its sources.

    A rule that judges finishes has one firing for each finish that it fired for; `finish` is empty for the
    floor.
    """

    rule: str
    topic: str
    finish: str = ""
    antecedents: tuple[str, ...]
    conclusions: tuple[ConclusionRecord, ...]
    because: str
    sources: tuple[str, ...]
    limits: tuple[str, ...] = ()  # names of what its conditions were compared with


class Trace(Record):
    """All facts (only those that some firing used or that were given), all firings in order, and their limits."""

    facts: tuple[FactRecord, ...]
    firings: tuple[Firing, ...]
    limits: tuple[LimitRecord, ...] = ()

    def fact(self, name: str) -> FactRecord:
        """The record of a fact.

        Raises:
            KeyError: the trace has no such fact.
        """
        return next(record for record in self.facts if record.name == name)

    def about(self, finish: str) -> tuple[Firing, ...]:
        """The firings that judged a finish."""
        return tuple(firing for firing in self.firings if firing.finish == finish)
