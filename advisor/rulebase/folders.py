"""Which files of a folder are files of rules: found without ever waiting for one, or wandering off."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from advisor.errors import BadRuleBase, Fault
from advisor.rulebase.documents import LARGEST_FILE
from explanations.wording import wording
from explanations.words import visible

ENDINGS = (".yaml", ".yml")
MOST_NAMES = 5_000  # in a folder of rules and all below it; the shipped one has some hundred


def rule_paths(folder: Path) -> list[Path]:
    """The files of rules in a folder and below it, in order; none where there is no such folder.

    Hidden folders (`.git`) are left alone.

    Raises:
        BadRuleBase: so many names lie there that it is some other folder; a name cannot be shown; a folder cannot be
            read or is a link; what is named like a file of rules is none, or too large.
    """
    faults: list[Fault] = []
    found = []
    if _odd(folder.name):
        raise BadRuleBase([_fault(folder, "folders.name", "folders.plain_name")])
    for names, path in enumerate(_below(folder, faults), start=1):
        if names > MOST_NAMES:
            raise BadRuleBase([_fault(folder, "folders.too_many", "folders.name_your_own", most=MOST_NAMES)])
        if _odd(path.name):
            faults.append(_fault(path, "folders.name", "folders.plain_name"))
        elif path.suffix.lower() in ENDINGS:
            if problem := _problem(path):
                faults.append(_fault(path, f"folders.{problem}", "folders.plain_file", most=f"{LARGEST_FILE:,}"))
            found.append(path)
        elif path.is_symlink() and _is_folder(path):
            faults.append(_fault(path, "folders.link", "folders.no_link"))
    if faults:
        raise BadRuleBase(faults)
    return sorted(found)


def _below(folder: Path, faults: list[Fault]) -> Iterator[Path]:
    """All that lies in a folder, hidden folders left alone; links are not followed."""

    def unreadable(error: OSError) -> None:
        if folder.is_dir():  # else there is no such folder, which whoever reads it tells
            faults.append(_fault(Path(error.filename), "folders.unreadable", "folders.no_link"))

    for top, inner, files in os.walk(folder, onerror=unreadable):
        inner[:] = [name for name in inner if not name.startswith(".")]
        yield from (Path(top) / name for name in (*inner, *files))


def _problem(path: Path) -> str:
    """What is the matter with a file of rules; a pipe or a device is never opened."""
    try:
        if not path.is_file():
            return "no_file"
        return "too_large" if path.stat().st_size > LARGEST_FILE else ""
    except (OSError, RuntimeError):
        return "no_file"


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # a link that leads where nobody may look
        return False


def _odd(name: str) -> bool:
    """Whether a name holds what a terminal would obey, or is not UTF-8."""
    return visible(name) != name


def _fault(path: Path, what: str, remedy: str, **given: object) -> Fault:
    return Fault(visible(f"{path.parent.name}/{path.name}"), wording(what, **given), remedy=wording(remedy, **given))
