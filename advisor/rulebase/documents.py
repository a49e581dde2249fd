"""Reading YAML, JSON and TOML into plain dictionaries, lists and texts, with line numbers.

Every scalar comes out as text: the schema, not the notation, decides what `yes`, `010` or `1e-7` means.
Refused: duplicate keys, aliases (and so expansion bombs), deep nesting, large files, what is not a mapping; and any
character that a terminal or a page would obey instead of showing it, but for line breaks and tabs.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from advisor.errors import BadFile, Fault
from advisor.sent import File, opened
from explanations.wording import wording
from explanations.words import obeyed, visible

LARGEST_FILE = 1_000_000  # bytes; the largest shipped rule file has a tenth of it
DEEPEST = 12

Place = tuple[str, ...]


@dataclass(frozen=True)
class Document:
    """What a file holds, and on which line each entry stands (empty for JSON and TOML)."""

    path: File
    content: dict[str, Any]
    lines: dict[Place, int] = field(default_factory=dict)

    def where(self, *place: str) -> str:
        """The file, with the line of the entry at `place` or of its nearest known parent."""
        while place and place not in self.lines:
            place = place[:-1]
        return f"{self.path.name}, line {self.lines[place]}" if place in self.lines else self.path.name


def read_document(path: File, empty: str = "documents.blank_one") -> Document:
    """Read a file by its ending: .yaml or .yml, .json, .toml.

    Args:
        path: the file.
        empty: the key of what to do where it holds nothing.

    Raises:
        BadFile: it is missing, too large, empty, not of that format, or not a mapping.
    """
    text = _read_text(path)
    match path.suffix.lower():
        case ".yaml" | ".yml":
            lines: dict[Place, int] = {}
            content = _YamlReader(path, text, lines).read()
        case ".json":
            content, lines = _read_json(path, text), {}
        case ".toml":
            content, lines = _read_toml(path, text), {}
        case other:
            raise _bad(path, wording("documents.ending", ending=other), ".yaml, .yml, .json, .toml")
    return _mapping(path, content, lines, empty)


def document_of_json(name: str, raw: bytes) -> Document:
    """Read what was sent as JSON, as strictly as a file.

    Args:
        name: what it is called in messages.
        raw: as sent.

    Raises:
        BadFile: as `read_document`.
    """
    path = Path(name)
    return _mapping(path, _read_json(path, _decoded(path, raw)), {})


def _mapping(path: File, content: Any, lines: dict[Place, int], empty: str = "documents.blank_one") -> Document:
    if content is None or content == {}:
        raise _bad(path, wording("documents.empty"), remedy=wording(empty))
    if not isinstance(content, dict):
        raise _bad(path, wording("documents.no_names"), wording("documents.one_a_line"))
    return Document(path, content, lines)


def _bad(path: File, what: str, allowed: str = "", remedy: str = "", line: int | None = None) -> BadFile:
    where = path.name if line is None else f"{path.name}, line {line}"
    return BadFile([Fault(where, what, allowed, remedy)])


def _read_text(path: File) -> str:
    """What stands in a file; a pipe or a device, which may never end, is not opened."""
    if isinstance(path, Path) and path.exists() and not (path.is_file() or path.is_dir()):
        raise _bad(path, wording("documents.no_file"), remedy=wording("documents.as_file"))
    try:
        with opened(path) as file:
            raw = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise _bad(
            path, wording("documents.unread", why=error.strerror), remedy=wording("documents.check_path")
        ) from None
    if len(raw) > LARGEST_FILE:
        raise _bad(path, wording("documents.too_large"), wording("documents.largest", most=f"{LARGEST_FILE:,}"))
    return _decoded(path, raw)


def _decoded(path: File, raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _bad(path, wording("documents.byte", n=error.start), wording("documents.utf8")) from None


class _YamlReader:
    """Builds plain data from YAML's event stream, which, unlike its loaders, guesses no types."""

    def __init__(self, path: File, text: str, lines: dict[Place, int]) -> None:
        self.path, self.lines = path, lines
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        self.events = yaml.parse(text, Loader=loader)

    def read(self) -> Any:
        try:
            next(self.events)  # the stream's start
            if isinstance(next(self.events), yaml.StreamEndEvent):
                return None
            content = self._value(next(self.events), ())
            next(self.events)  # the document's end
            if not isinstance(event := next(self.events), yaml.StreamEndEvent):
                raise self._refuse(event, wording("documents.second"), wording("documents.one"))
        except yaml.YAMLError as error:
            mark = getattr(error, "problem_mark", None)
            problem = getattr(error, "problem", None) or wording("documents.unparsed")
            line = mark.line + 1 if mark else None
            raise _bad(
                self.path, wording("documents.no_yaml", why=problem), wording("documents.yaml"), line=line
            ) from None
        return content

    def _value(self, event: yaml.Event, place: Place) -> Any:
        self.lines[place] = _line(event)
        if len(place) > DEEPEST:
            raise self._refuse(event, wording("documents.deep", most=DEEPEST))
        match event:
            case yaml.ScalarEvent(anchor=None):
                empty = event.value in ("", "~", "null") and event.implicit[0]
                _refuse_obeyed(self.path, event.value, _line(event))
                return None if empty else event.value
            case yaml.MappingStartEvent(anchor=None):
                return self._mapping(place)
            case yaml.SequenceStartEvent(anchor=None):
                return self._sequence(place)
        raise self._refuse(event, wording("documents.aliases"), wording("documents.write_out"))

    def _mapping(self, place: Place) -> dict[str, Any]:
        result: dict[str, Any] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                raise self._refuse(event, wording("documents.plain_name"))
            key = event.value
            _refuse_obeyed(self.path, key, _line(event))
            if key in result:
                raise self._refuse(event, wording("documents.twice", name=key), wording("documents.once"))
            result[key] = self._value(next(self.events), (*place, key))
            self.lines[(*place, key)] = _line(event)
        return result

    def _sequence(self, place: Place) -> list[Any]:
        result: list[Any] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            result.append(self._value(event, (*place, str(len(result)))))
        return result

    def _refuse(self, event: yaml.Event, what: str, allowed: str = "") -> BadFile:
        return _bad(self.path, what, allowed, line=_line(event))


def _line(event: yaml.Event) -> int:
    assert event.start_mark is not None  # only events made by hand have none
    return event.start_mark.line + 1


def _read_json(path: File, text: str) -> Any:
    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        result = dict(items)
        if len(result) < len(items):
            names = [name for name, _ in items]
            twice = next(name for name in names if names.count(name) > 1)
            raise _bad(path, wording("documents.twice", name=twice), wording("documents.once"))
        return result

    try:
        return _as_text(path, json.loads(text, object_pairs_hook=pairs, parse_int=str, parse_float=str))
    except json.JSONDecodeError as error:
        raise _bad(path, wording("documents.no_json", why=error.msg), line=error.lineno) from None
    except RecursionError:
        raise _bad(path, wording("documents.deep", most=DEEPEST)) from None


def _read_toml(path: File, text: str) -> Any:
    try:
        return _as_text(path, tomllib.loads(text, parse_float=str))
    except tomllib.TOMLDecodeError as error:
        raise _bad(path, wording("documents.no_toml", why=error)) from None
    except ValueError:
        raise _bad(path, wording("documents.no_toml", why=wording("documents.long_number"))) from None
    except RecursionError:
        raise _bad(path, wording("documents.deep", most=DEEPEST)) from None


def _as_text(path: File, value: Any) -> Any:
    match value:
        case dict():
            for name in value:
                _refuse_obeyed(path, name)
            return {name: _as_text(path, inner) for name, inner in value.items()}
        case list():
            return [_as_text(path, inner) for inner in value]
        case True:
            return "yes"
        case False:
            return "no"
        case None:
            return None
        case str():
            _refuse_obeyed(path, value)
            return value
    return str(value)


def _refuse_obeyed(path: File, text: str, line: int | None = None) -> None:
    """Refuse a text with a character that would be obeyed instead of shown."""
    if number := obeyed(text):
        what = wording("documents.obeyed", number=number, text=visible(text[:60]))
        raise _bad(path, what, remedy=wording("documents.take_it_out"), line=line)
