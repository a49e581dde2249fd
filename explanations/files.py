"""The one way in which files are written: the place is tried before any work, and the file is put there in one step."""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from explanations.errors import CannotWrite
from explanations.wording import wording


def check_place(path: Path, endings: Collection[str] = ("",), new: bool = False) -> str:
    """Make sure that a file can be put there; nothing is left behind.

    Args:
        path: where to; a file that is there may be replaced.
        endings: which one the name may have, as ".svg"; any if not given.
        new: whether a file that is there must stay.

    Returns:
        The ending that the name has, the longest that fits.

    Raises:
        CannotWrite: another ending, no such folder, a folder or device of that name, or no right to write there.
    """
    found = max((each for each in endings if path.name.lower().endswith(each)), key=len, default=None)
    if found is None:
        key = "files.wrong_ending" if path.suffix else "files.no_ending"
        raise CannotWrite(path, wording(key, ending=path.suffix, endings=", ".join(endings)))
    if "\0" in path.name or path.name.lower() == found != "":
        raise CannotWrite(path, wording("files.bad_name"))
    with writing(path):
        place = _resolved(path)
        if not place.parent.is_dir():
            raise CannotWrite(path, wording("files.no_folder", folder=path.parent))
        if place.is_dir():
            raise CannotWrite(path, wording("files.folder"))
        if place.exists() and not place.is_file():
            raise CannotWrite(path, wording("files.no_plain_file"))
        if new and place.exists():
            raise CannotWrite(path, wording("files.there"))
        if place.exists() and not os.access(place, os.W_OK):
            raise CannotWrite(path, wording("files.protected"))
        part = _part(place)
        part.touch()
        part.unlink()
    return found


def check_new_folder(folder: Path) -> None:
    """Make sure that the folder is new or empty, and that it can be made; nothing is left behind.

    Raises:
        CannotWrite: something is in it, or in its place, or it cannot be made, or the folder around it is not there.
    """
    with writing(folder):
        if folder.exists() and not folder.is_dir():
            raise CannotWrite(folder, wording("files.no_folder_there"))
        if folder.is_dir() and any(folder.iterdir()):
            raise CannotWrite(folder, wording("files.not_empty"))
        place = _resolved(folder)
        if not place.parent.exists():
            raise CannotWrite(folder, wording("files.no_folder_around", folder=folder.parent))
        part = _part((place if place.exists() else place.parent) / place.name)
        part.touch()
        part.unlink()


def write_whole(path: Path, content: bytes, like: Path | None = None) -> None:
    """Write the content; whoever looks, after a kill too, sees the old file or the whole new one.

    A file that was there keeps its mode. One with several names (hard links) is rewritten in place, from a whole copy
    beside it: only that keeps the names together.

    Args:
        path: where to.
        content: all of it.
        like: the file that it is made from; a new one gets the mode of that.

    Raises:
        CannotWrite: it cannot be written; what was there is as it was.
    """
    with writing(path):
        place = _resolved(path)
        part = _part(place)
        try:
            there = place.stat() if place.exists() else None
            with part.open("wb") as file:
                if mode := there or (like and like.stat()):
                    part.chmod(stat.S_IMODE(mode.st_mode))
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            if there and there.st_nlink > 1:
                shutil.copyfile(part, place)
            else:
                part.replace(place)
        finally:
            part.unlink(missing_ok=True)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write a new folder with these files, all of them or nothing.

    Args:
        folder: where to; new or empty.
        files: their contents by name.

    Returns:
        Where each is.

    Raises:
        CannotWrite: something is in it, or it cannot be written; then nothing of it is left.
    """
    check_new_folder(folder)
    with writing(folder):
        place = _resolved(folder)
        part = _part(place)
        try:
            part.mkdir()
            for name, content in files.items():
                (part / name).write_bytes(content)
            if place.exists():  # empty
                part.chmod(stat.S_IMODE(place.stat().st_mode))
                place.rmdir()
            part.replace(place)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    return [folder / name for name in files]


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Word what the system says against writing to a path, for work that other libraries write.

    Raises:
        CannotWrite: in place of the system's error.
    """
    try:
        yield
    except OSError as error:
        raise CannotWrite(path, wording("files.unwritable", why=error.strerror or error)) from None


def _resolved(path: Path) -> Path:
    """Where a path leads: of a link, what it points to."""
    place = Path(os.path.realpath(path))
    if place.is_symlink():
        raise CannotWrite(path, wording("files.circle"))
    return place


def _part(place: Path) -> Path:
    """Where content waits until it is whole; its own for each process, so that two cannot mix."""
    return place.with_name(f".{place.name}.{os.getpid()}.part")
