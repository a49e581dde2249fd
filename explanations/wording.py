"""Every sentence and label that people read, by key, in the reader's language.

The sentences are data: `texts/LANGUAGE/GROUP.yaml`, in ICU MessageFormat (plural, select; ICU User Guide, "Formatting
Messages"). A key is `GROUP.name`; groups nest with dots. A language that lacks a sentence falls back to English.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import NamedTuple

import yaml
from icu4py.messageformat import MessageFormat

from explanations.reading import theirs

FOLDER = Path(__file__).parent / "texts"
ENGLISH = "en"

_NAMES = re.compile(r"\{(\w+)\}")
_COUNTED = re.compile(r"\{(\w+)\s*,\s*plural")
_DATED = re.compile(r"\{(\w+)\s*,\s*date")


class Pattern(NamedTuple):
    """A sentence made ready, the words that stand alone in braces (its names among them), its counts and its dates."""

    format: MessageFormat
    names: frozenset[str]
    counted: frozenset[str]
    dated: frozenset[str]


_language: ContextVar[str] = ContextVar("language", default=ENGLISH)
_subject: ContextVar[str] = ContextVar("subject", default="")


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Word everything in a language, a folder of `texts`, while this lasts; in this thread or task only."""
    before = _language.set(language)
    try:
        yield
    finally:
        _language.reset(before)


@contextmanager
def speaking_of(subject: str) -> Iterator[None]:
    """Say of another subject what is else said of finishes, while this lasts; in this thread or task only.

    Args:
        subject: the group of texts that has, under `said`, those sentences and labels that are said otherwise.
    """
    before = _subject.set(subject)
    try:
        yield
    finally:
        _subject.reset(before)


def wording(key: str, /, **given: object) -> str:
    """The sentence or label of a key, with values put in.

    Args:
        key: `GROUP.name`.
        given: what stands in its braces; whole numbers where it counts, dates where it writes one, all else as it is
            to be read.

    Raises:
        KeyError: there is no such key, or a value that it names is not given.

    >>> wording("grammar.two", first="oil", last="wax")
    'oil and wax'
    """
    pattern = _pattern(_language.get(), _otherwise(key) or key)
    values: dict[str, int | float | str | Decimal | date] = {
        name: int(str(each))
        if name in pattern.counted
        else each
        if name in pattern.dated and isinstance(each, date)
        else _sayable(str(each))
        for name, each in given.items()
    }
    said: str = pattern.format.format(values)
    if lacking := [name for name in pattern.names - given.keys() if f"{{{name}}}" in said]:  # ICU leaves them standing
        raise KeyError(f"{key} names {', '.join(sorted(lacking))}, which is not given")
    return theirs(said)


def _sayable(text: str) -> str:
    """Without halves of characters (lone surrogates), which may be typed but which ICU cannot write."""
    return text if text.isascii() else text.encode("utf-8", "replace").decode()


def has_text(key: str) -> bool:
    """Whether there is a text under a key, in the reader's language or in English."""
    group, _, name = key.partition(".")
    return any(name in group_of_texts(language, group) for language in (_language.get(), ENGLISH))


def label(kind: str, name: str) -> str:
    """What to call an id: a fact, a value, a need. One that has no label (a shop's own) is its id in words.

    >>> label("kind", "no_such_thing")
    'no such thing'
    """
    if key := _otherwise(f"labels.{kind}.{name}"):
        return wording(key)
    found = _labels(_language.get()).get(f"{kind}.{name}") or _labels(ENGLISH).get(f"{kind}.{name}")
    return found or name.replace("_", " ")


def listed(items: Iterable[str], last: str = "and") -> str:
    """Items as words.

    Args:
        items: any number.
        last: what stands before the last, `and` or `or`.

    >>> listed(["a", "b", "c"]), listed(["a", "b"], "or"), listed([])
    ('a, b and c', 'a or b', '')
    >>> listed(["oil and grease", "wax"])
    'oil and grease, and wax'
    """
    *before, final = [*items] or [""]
    if not before:
        return final
    first = before[0]
    for each in before[1:]:
        first = wording("grammar.further", first=first, last=each)
    within = (wording(f"grammar.{each}", first="", last="") for each in ("two", "either"))
    apart = "_apart" if any(word in f"{first}{final}" for word in within) else ""
    return wording(f"grammar.{'either' if last == 'or' else 'two'}{apart}", first=first, last=final)


def _otherwise(key: str) -> str:
    """The key by which the same is said of the subject spoken of; empty where it is said alike."""
    subject = _subject.get()
    if not subject or key.startswith(f"{subject}."):
        return ""
    found = f"said.{key}"
    return f"{subject}.{found}" if found in group_of_texts(ENGLISH, subject) else ""


@cache
def _pattern(language: str, key: str) -> Pattern:
    group, _, name = key.partition(".")
    found = group_of_texts(language, group).get(name)
    if found is None and language != ENGLISH:
        return _pattern(ENGLISH, key)
    if found is None:
        raise KeyError(f"there is no text {key}")
    names, counted, dated = (frozenset(form.findall(found)) for form in (_NAMES, _COUNTED, _DATED))
    return Pattern(MessageFormat(found, language), names, counted, dated)


@cache
def _labels(language: str) -> Mapping[str, str]:
    return group_of_texts(language, "labels")


@cache
def group_of_texts(language: str, group: str) -> Mapping[str, str]:
    """The patterns of one file by their keys within it; none where the language has no such file."""
    path = FOLDER / language / f"{group}.yaml"
    if not path.is_file():
        return {}
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)  # every scalar is text
    return dict(_flat(yaml.load(path.read_bytes(), loader)))


def _flat(texts: Mapping[str, object], before: str = "") -> Iterator[tuple[str, str]]:
    for name, text in texts.items():
        if isinstance(text, Mapping):
            yield from _flat(text, f"{before}{name}.")
        else:
            yield f"{before}{name}", str(text)
