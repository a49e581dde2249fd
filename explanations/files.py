"""Writing a file whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from explanations.errors import CannotExplain


def check_ending(path: Path, endings: Iterable[str]) -> str:
    """The ending that the file's name has.

    Raises:
        CannotExplain: it has none of them, or its folder is not there.
    """
    name = path.name.lower()
    found = next((each for each in sorted(endings, key=len, reverse=True) if name.endswith(each)), None)
    if found is None:
        raise CannotExplain(f'{path}: the name cannot end in "{path.suffix}"; allowed: {", ".join(endings)}')
    if not path.resolve().parent.is_dir():
        raise CannotExplain(f"{path}: there is no folder {path.parent}")
    return found


def write_whole(path: Path, content: bytes) -> None:
    """Write the content; whoever looks sees the old file or the whole new one."""
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(content)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
