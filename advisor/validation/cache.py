"""A checked rule base kept on disk, so that the next start need not read and check every file again.

What is kept is data, never code: the rule base and its ground rules, pickled, and read back by an unpickler that makes
nothing but the classes of `advisor.model` that they consist of. Its name is a digest of the rule files' contents and of
the advisor's own modules, so a change of either finds nothing; its first line is a digest of the rest, so a file that
was cut short or altered counts as none. It is always safe to delete.
"""

from __future__ import annotations

import hashlib
import io
import os
import pickle
from collections.abc import Sequence
from contextlib import suppress
from functools import cache
from pathlib import Path

from advisor.engines.packing import spread_out
from advisor.model.grounding import ground, programs
from advisor.model.knowledge import RuleBase
from advisor.model.program import Program
from advisor.rulebase.folders import rule_paths
from explanations.errors import CannotWrite
from explanations.files import write_whole

MOST_KEPT = 8  # rule bases: the shipped one, and a few overlays
ENDING = ".kept"
MADE_IN = ("advisor.model.", "advisor.physics.bounds")  # modules whose classes a kept rule base consists of


class _DataOnly(pickle.Unpickler):
    """Reads instances of our own plain classes; whatever else a file asks for is refused."""

    def find_class(self, module: str, name: str) -> type:
        """The class of this name.

        Raises:
            UnpicklingError: it is not one of ours.
        """
        found = super().find_class(module, name) if module.startswith(MADE_IN) and "." not in name else None
        if not isinstance(found, type) or found.__module__ != module:
            raise pickle.UnpicklingError(f"{module}.{name} is no part of a rule base")
        return found


def kept_rulebase(folders: Sequence[Path], name: str | None = None) -> RuleBase | None:
    """The rule base of these folders as kept earlier; None if there is none that fits.

    Args:
        folders: the shipped one, and those laid over it.
        name: their signature, where it was worked out already.
    """
    if not all(rule_paths(folder) for folder in folders):
        return None  # a folder that is missing or empty is a fault to be told, not a rule base
    try:
        place = _place(name or signature(folders))
        digest, _, data = place.read_bytes().partition(b"\n")
    except OSError:
        return None
    if digest != _digest(data):
        return None
    try:
        base, program = _DataOnly(io.BytesIO(data)).load()
    except (pickle.UnpicklingError, TypeError, ValueError, AttributeError, EOFError, ImportError):
        return None
    if not isinstance(base, RuleBase) or not isinstance(program, Program):
        return None
    programs.keep(base, program)
    with suppress(OSError):
        os.utime(place)  # what is used stays, whatever is kept after it
    return base


def keep_rulebase(folders: Sequence[Path], base: RuleBase, name: str | None = None) -> None:
    """Keep a checked rule base, whole or not at all; where nothing can be written, nothing is kept.

    Args:
        folders: the shipped one, and those laid over it.
        base: as read from them.
        name: their signature before they were read, where it was worked out.
    """
    data = pickle.dumps((base, spread_out(ground(base))), protocol=5)
    place = _place(name or signature(folders))
    try:
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(place, _digest(data) + b"\n" + data)
        newest_first = sorted(place.parent.glob(f"*{ENDING}"), key=lambda path: -path.stat().st_mtime)
        for old in newest_first[MOST_KEPT:]:
            old.unlink(missing_ok=True)
    except (OSError, CannotWrite):
        return


def _place(name: str) -> Path:
    return _cache_folder() / f"{name}{ENDING}"


def _cache_folder() -> Path:
    root = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(root) if root else Path.home() / ".cache") / "slab-finish-advisor"


@cache
def program() -> str:
    """A digest of the modules as this process found them, the same on every machine that has this version."""
    seen, root = hashlib.sha256(), Path(__file__).parent.parent
    for module in sorted(root.rglob("*.py")):
        content = module.read_bytes()
        seen.update(f"{module.relative_to(root).as_posix()} {len(content)}\n".encode())
        seen.update(content)
    return seen.hexdigest()[:16]


def signature(folders: Sequence[Path]) -> str:
    """What names the contents of these folders, as read by this version of the advisor."""
    seen = hashlib.sha256()
    for module in sorted(Path(__file__).parent.parent.rglob("*.py")):
        stat = module.stat()
        seen.update(f"{module.name} {stat.st_size} {stat.st_mtime_ns}\n".encode())
    for folder in folders:
        seen.update(f"{folder.name}/\n".encode())  # also of one that holds nothing, which is a fault to be told
        for path in rule_paths(folder):
            content = path.read_bytes()
            seen.update(f"{folder.name}/{path.relative_to(folder).as_posix()} {len(content)}\n".encode())
            seen.update(content)
    return seen.hexdigest()[:32]


def _digest(data: bytes) -> bytes:
    return hashlib.sha256(data).hexdigest().encode()
