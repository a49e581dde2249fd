"""A file that was sent along, in memory: read by the same functions as one of this machine, and never written there."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path, PurePath
from typing import BinaryIO


@dataclass(frozen=True)
class Sent:
    """A file that somebody sent.

    Attributes:
        name: what it is called in messages.
        content: what it holds.
        kind: the ending that says what kind of file it is, where its name has none.
    """

    name: str
    content: bytes = field(repr=False)
    kind: str = ""

    @property
    def suffix(self) -> str:
        """The ending, as of a path."""
        return self.kind or PurePath(self.name).suffix


File = Path | Sent


@contextmanager
def opened(file: File) -> Iterator[BinaryIO]:
    """The bytes of a file, wherever it is.

    Raises:
        OSError: one of this machine cannot be read.
    """
    with file.open("rb") if isinstance(file, Path) else BytesIO(file.content) as held:
        yield held
