"""What a person may ask of an explanation that cannot be had."""

from __future__ import annotations

from pathlib import Path


class CannotExplain(ValueError):
    """A request that cannot be met as put: an ending that cannot be drawn, a finish that was not judged."""


class CannotWrite(CannotExplain):
    """A file cannot be put where it was asked for: the path, and why with what to do instead."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"{path}: {why}")
        self.path, self.why = path, why
