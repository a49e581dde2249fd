"""The cells of a table's column, read as a case file would read them; what cannot be read gets a reason."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from advisor.engines.columns import ChoiceColumn, Column, NumberColumn, keep_all
from advisor.errors import BadCase
from advisor.facts.case import read_fact
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import UNITS
from advisor.model.values import Value, unknown
from explanations.wording import wording

_PLAIN = r"^\s*[+-]?\d+(\.\d+)?([eE][+-]?\d+)?\s*$"
_YES_NO = {True: "yes", False: "no"}


@dataclass(frozen=True)
class Heading:
    """What one column of a table states."""

    fact: str
    unit: str


def read_column(base: RuleBase, heading: Heading, cells: Any, reasons: dict[int, list[str]]) -> Column:
    """The cells of one column; a row whose cell cannot be read gets a reason."""
    kind = base.facts[heading.fact]
    if pa.types.is_dictionary(cells.type):
        cells = cells.dictionary_decode()
    if pa.types.is_boolean(cells.type):
        cells = pc.if_else(cells, *_YES_NO.values())
    if kind.type != "number":
        return _choices(base, heading, cells.cast(pa.string()), reasons)
    column = NumberColumn(
        np.full(len(cells), kind.plausible.low),
        np.full(len(cells), kind.plausible.high),
        np.zeros(len(cells), np.bool),
    )
    if pa.types.is_integer(cells.type) or pa.types.is_floating(cells.type):
        plain = np.ones(len(cells), np.bool)
        values = cells.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False)
        texts = cells.cast(pa.string())
    else:
        texts = cells.cast(pa.string())
        plain = pc.fill_null(pc.match_substring_regex(texts, _PLAIN), False).to_numpy(zero_copy_only=False)
        values = (
            pc.if_else(pa.array(plain), pc.utf8_trim_whitespace(texts), None)
            .cast(pa.float64())
            .to_numpy(zero_copy_only=False)
        )
    spelling = UNITS[kind.unit].spellings.get(heading.unit)
    there = texts.is_valid().to_numpy(zero_copy_only=False)
    if spelling is None:  # plain numbers need a unit in the heading
        plain = np.zeros(len(cells), np.bool)
    else:
        converted = keep_all(np.where(plain, values, 0.0) * spelling[0] + spelling[1])
        fits = plain & there & (converted >= kind.plausible.low) & (converted <= kind.plausible.high)
        if UNITS[kind.unit].whole:
            fits &= np.floor(converted) == converted
        column.low[fits] = column.high[fits] = converted[fits]
        column.known[fits] = True
        plain = fits
    _read_texts(base, heading, texts, there & ~plain, reasons, partial(_put_number, column))
    return column


def _choices(base: RuleBase, heading: Heading, cells: Any, reasons: dict[int, list[str]]) -> ChoiceColumn:
    kind = base.facts[heading.fact]
    column = ChoiceColumn(np.zeros(len(cells), np.uint8), kind.choices)
    there = cells.is_valid().to_numpy(zero_copy_only=False)
    _read_texts(base, heading, cells, there, reasons, partial(_put_choice, column))
    return column


def _put_number(column: NumberColumn, rows: Any, value: Value) -> None:
    assert value.interval is not None
    column.low[rows], column.high[rows], column.known[rows] = value.interval.low, value.interval.high, value.known


def _put_choice(column: ChoiceColumn, rows: Any, value: Value) -> None:
    column.codes[rows] = column.values.index(value.choice) + 1 if value.known else 0


def _read_texts(
    base: RuleBase,
    heading: Heading,
    texts: Any,
    wanted: Any,
    reasons: dict[int, list[str]],
    put: Callable[[Any, Value], None],
) -> None:
    """Read each distinct text once, as a case file would, and put it into the rows that have it."""
    places = np.flatnonzero(wanted)
    if not len(places):
        return
    encoded = texts.take(pa.array(places)).dictionary_encode()
    which = encoded.indices.to_numpy(zero_copy_only=False)
    order = np.argsort(which, kind="stable")
    starts = np.searchsorted(which[order], np.arange(len(encoded.dictionary) + 1))
    for code, text in enumerate(encoded.dictionary.to_pylist()):
        rows = places[order[starts[code] : starts[code + 1]]]
        value = _read_text(base, heading, text)
        if isinstance(value, str):
            for row in rows:
                reasons.setdefault(int(row), []).append(value)
        else:
            put(rows, value)


def _read_text(base: RuleBase, heading: Heading, text: str) -> Value | str:
    """The value that a cell states, or why it states none."""
    kind = base.facts[heading.fact]
    if not text.strip():
        return unknown(kind)
    if heading.unit and not re.search(r"[^\d\s.,+eE-]", text.replace(" to ", " ")):
        text = f"{text} {heading.unit}"
    try:
        return read_fact(base, heading.fact, text, heading.fact)
    except BadCase as error:
        fault = error.faults[0]
        return wording("survey.cell", what=fault.what, allowed=fault.allowed) if fault.allowed else fault.what
