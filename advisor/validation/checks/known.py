"""Whether a name that an entry gives is there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.errors import Fault, nearest
from explanations.wording import wording


def is_known(name: str, known: Mapping[str, object], what: str, at: str) -> Iterator[Fault]:
    """The fault of a name that is not there, if it is not.

    Args:
        name: as the entry gives it.
        known: what is there, by name.
        what: which kind of thing it names, as under `rules.no` of the texts.
        at: file and line.
    """
    if name not in known:
        yield Fault(at, wording(f"rules.no.{what}", name=name), remedy=nearest(name, known))
