"""Who writes: a shop's name, address, contact and logo, and who signs, from a small file of the shop's own."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from advisor.errors import BadFile, Fault, nearest
from advisor.rulebase.documents import Document, read_document
from explanations.wording import wording

FIELDS = ("name", "address", "contact", "logo", "signature")
LOGOS = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG", ".svg": "SVG"}  # by ending
LARGEST_LOGO = 500_000  # bytes
LONGEST = 120  # characters of a line
MOST_LINES = 6


@dataclass(frozen=True)
class Logo:
    """A picture as it is in its file, and which: png, jpg or svg."""

    content: bytes
    kind: str


@dataclass(frozen=True)
class Shop:
    """A shop as it stands at the head and the foot of a letter; an empty one leaves both blank."""

    name: str = ""
    address: tuple[str, ...] = ()
    contact: tuple[str, ...] = ()
    signature: tuple[str, ...] = ()
    logo: Logo | None = None


NOBODY = Shop()


def read_shop(path: Path) -> Shop:
    """Read a shop's file.

    Args:
        path: YAML, JSON or TOML with `name`, and if wished `address`, `contact` and `signature` (a line or a list of
            lines) and `logo` (a .png, .jpg or .svg file, from where the shop's file is).

    Raises:
        BadFile: with every fault found.
    """
    document = read_document(path)
    faults: list[Fault] = []
    for key in document.content:
        if key not in FIELDS:
            what, allowed = wording("shop.unknown_key", key=key), wording("shop.keys", names=", ".join(FIELDS))
            faults.append(Fault(document.where(key), what, allowed, nearest(key, FIELDS)))
    lines = {name: _lines(document, name, faults) for name in FIELDS if name != "logo"}
    if not lines["name"]:
        faults.append(Fault(path.name, wording("shop.no_name"), wording("shop.keys", names=", ".join(FIELDS))))
    logo = _logo(document, path, faults)
    if faults:
        raise BadFile(faults)
    return Shop(" ".join(lines["name"]), lines["address"], lines["contact"], lines["signature"], logo)


def _lines(document: Document, name: str, faults: list[Fault]) -> tuple[str, ...]:
    """A text or a list of texts as lines."""
    value: Any = document.content.get(name) or []
    given = value.splitlines() if isinstance(value, str) else value
    if not isinstance(given, list) or not all(isinstance(each, str) for each in given):
        faults.append(Fault(document.where(name), wording("shop.no_lines", key=name), wording("shop.lines")))
        return ()
    found = tuple(line.strip() for line in given if line.strip())
    if len(found) > MOST_LINES or any(len(line) > LONGEST for line in found):
        allowed = wording("shop.most", lines=MOST_LINES, characters=LONGEST)
        faults.append(Fault(document.where(name), wording("shop.too_long", key=name), allowed))
    return found


def _logo(document: Document, path: Path, faults: list[Fault]) -> Logo | None:
    named = document.content.get("logo")
    if not named:
        return None
    place = path.parent / str(named)
    where, allowed = document.where("logo"), wording("shop.logos", endings=", ".join(LOGOS))
    if place.suffix.lower() not in LOGOS:
        faults.append(Fault(where, wording("shop.no_logo", file=named), allowed))
        return None
    try:
        content = place.read_bytes() if place.is_file() else b""
    except OSError:
        content = b""
    if not content:
        faults.append(Fault(where, wording("shop.logo_missing", file=named), allowed))
    elif len(content) > LARGEST_LOGO:
        faults.append(Fault(where, wording("shop.logo_large", file=named), wording("shop.logo_most")))
    elif not _can_be_drawn(content, place.suffix.lower()):
        faults.append(Fault(where, wording("shop.logo_other", file=named), allowed))
    return Logo(content, {"jpeg": "jpg"}.get(place.suffix.lower()[1:], place.suffix.lower()[1:]))


def _can_be_drawn(content: bytes, ending: str) -> bool:
    """Whether a file holds what its ending says."""
    if ending == ".svg":
        from xml.etree import ElementTree

        try:
            return ElementTree.fromstring(content).tag.endswith("svg")
        except ElementTree.ParseError:
            return False
    from PIL import Image

    try:
        with Image.open(BytesIO(content), formats=[LOGOS[ending]]) as picture:
            picture.verify()
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        return False
    return True
