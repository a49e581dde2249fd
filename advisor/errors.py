"""Faults in what people gave us, worded so that they can be mended."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

MOST_TOLD = 100  # faults in a message: somebody who names the wrong folder need not read them all


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: where, what was found, what is allowed, and what to do."""

    where: str
    what: str
    allowed: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        lines = [f"{self.where}: {self.what}"]
        if self.allowed:
            lines.append(f"  Allowed: {self.allowed}")
        if self.remedy:
            lines.append(f"  {self.remedy}")
        return "\n".join(lines)


class AdvisorError(Exception):
    """Something a person can mend; carries every fault found, not only the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        told = [str(fault) for fault in self.faults[:MOST_TOLD]]
        more = len(self.faults) - len(told)
        super().__init__("\n".join([*told, f"... and {more} more like these"] if more else told))


class BadFile(AdvisorError):
    """A file cannot be read as what it should be."""


class BadCase(AdvisorError):
    """A case states something that cannot be."""


class BadRequest(AdvisorError):
    """A verb was asked for something that does not exist."""


class BadRuleBase(AdvisorError):
    """The rule base is malformed."""


def nearest(name: str, known: Iterable[str]) -> str:
    """The hint `Did you mean "X"?`, or nothing where no name is near."""
    close = get_close_matches(name, list(known), n=1, cutoff=0.6)
    return f'Did you mean "{close[0]}"?' if close else ""
