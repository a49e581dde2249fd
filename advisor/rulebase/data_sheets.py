"""A maker's data sheet as a small file of the user's own: read, and held to what is plausible.

`product: NAME`, `like: FINISH` (a finish of the rule base), and any entry of the rule base's section `sheet`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisor.errors import BadFile, Fault, nearest
from advisor.model.finishes import SheetEntry
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity, show, spell_units
from advisor.physics.bounds import Interval
from advisor.rulebase.documents import Document, read_document
from advisor.rulebase.rule_values import spelled
from advisor.sent import File
from explanations.wording import wording
from explanations.words import in_short, visible, wrapped

LONGEST = 80  # characters of a name or title
TEMPERATURES = Interval(-20.0, 60.0)  # degC at which a maker may state a time
HEAD = ("product", "like", "coat", "sheet", "times_at")
OF_SHEET = ("title", "date")


@dataclass(frozen=True)
class Said:
    """One thing that a sheet says: an interval in the entry's unit, or a choice; of a time, where it holds [degC]."""

    name: str
    entry: SheetEntry
    text: str
    interval: Interval | None = None
    choice: str = ""
    at: Interval | None = None


@dataclass(frozen=True)
class DataSheet:
    """What a sheet says of one product."""

    document: Document
    product: str
    like: str
    coat: str  # which coat of the finish the product is; empty: the thickest
    title: str
    date: str
    said: dict[str, Said]  # by what it sets

    def of(self, kind: str) -> Iterator[tuple[str, Said]]:
        """What is said of the finish, use, task, ready or procedure: by the field that it sets."""
        for sets, said in self.said.items():
            where, _, inner = sets.partition(".")
            if where == kind:
                yield inner, said

    def fault(self, key: str, what: str, allowed: str = "") -> Fault:
        """A fault at one of its entries."""
        return Fault(self.document.where(key), what, allowed)

    @property
    def content(self) -> bytes:
        """All that the file says, for the fingerprint."""
        return json.dumps(self.document.content, sort_keys=True).encode()


def read_sheet(path: File, base: RuleBase) -> DataSheet:
    """Read a data sheet's file.

    Raises:
        BadFile: with every fault: a key that is not known, another unit, a value that cannot be.
    """
    document = read_document(path)
    reader = _Reader(document, base)
    sheet = reader.read()
    if reader.faults:
        raise BadFile(reader.faults)
    return sheet


class _Reader:
    """Reads one file and gathers its faults."""

    def __init__(self, document: Document, base: RuleBase) -> None:
        self.document, self.base = document, base
        self.faults: list[Fault] = []
        self._called = {other: name for name, entry in base.sheet.items() for other in (name, *entry.also)}

    def read(self) -> DataSheet:
        content = {spelled(key): (key, value) for key, value in self.document.content.items()}
        product = self._text(content, "product", wanted=True)
        like = self._finish(self._text(content, "like", wanted=True))
        times_at = self._temperature(self._text(content, "times_at"), "times_at")
        title, dated = self._sheet(content.get("sheet", ("", {}))[1])
        said: dict[str, Said] = {}
        for key, (written, value) in content.items():
            if key in HEAD:
                continue
            name = self._called.get(key)
            if name is None:
                hint = nearest(key, (*self._called, *HEAD))
                self._fault(written, wording("product.unknown_key", key=written), self._allowed_keys(), hint)
            elif self.base.sheet[name].sets in said:
                self._fault(written, wording("product.key_twice", key=written, name=name))
            elif (read := self._entry(written, name, value, times_at)) is not None:
                said[read.entry.sets] = read
        if not said and not self.faults:
            self._fault("product", wording("product.says_nothing"), self._allowed_keys())
        return DataSheet(self.document, product, like, self._text(content, "coat"), title, dated, said)

    def _text(self, content: dict[str, tuple[str, Any]], key: str, wanted: bool = False) -> str:
        written, value = content.get(key, (key, None))
        if value is None:
            if wanted:
                self._fault(written, wording("product.missing", key=key), remedy=wording("product.write_one"))
            return ""
        if not isinstance(value, str) or len(value) > LONGEST or visible(value) != value:
            self._fault(written, wording("product.no_text", key=written), wording("product.text", most=LONGEST))
            return ""
        return " ".join(value.split())

    def _finish(self, like: str) -> str:
        own = [each for each in self.base.finishes.values() if self.base.product(each.id) is None]
        known = {name: each.id for each in own for name in (each.id, spelled(each.name))}
        if like and spelled(like) not in known:
            hint = nearest(spelled(like), known)
            allowed = ", ".join(each.id for each in own)
            self._fault("like", wording("product.no_finish", given=like), allowed, hint)
        return known.get(spelled(like), "")

    def _sheet(self, value: Any) -> tuple[str, str]:
        if not isinstance(value, dict) or set(value) - set(OF_SHEET):
            self._fault("sheet", wording("product.bad_sheet"), wording("product.sheet_form"))
            return "", ""
        title, dated = (self._text({key: (key, value.get(key))}, key) for key in OF_SHEET)
        try:
            if dated:
                date.fromisoformat(dated)
        except ValueError:
            self._fault("sheet", wording("product.no_date", given=dated), wording("product.date_form"))
        return title, dated

    def _entry(self, written: str, name: str, value: Any, times_at: Interval | None) -> Said | None:
        entry = self.base.sheet[name]
        if not isinstance(value, str):
            self._misfit(written, "", wording("product.one_value"), entry)
            return None
        text = " ".join(value.split())
        if entry.type != "number":
            if spelled(text) not in entry.values:
                hint = nearest(spelled(text), entry.values)
                self._misfit(written, text, f"{wording('product.no_value')} {hint}".strip(), entry)
                return None
            return Said(name, entry, text, choice=spelled(text))
        amount, sign, warm = (text, "", "") if text.startswith("at ") else text.partition(" at ")
        at = self._temperature(warm, written) if sign else times_at
        try:
            if sign and not entry.timed:
                raise NotAQuantity(wording("product.not_timed"))
            interval = _one_end(entry, read_quantity(amount, entry.unit, entry.plausible))
        except NotAQuantity as error:
            self._misfit(written, text, str(error), entry)
            return None
        if entry.timed and at is None:
            if not sign:
                self._misfit(written, text, wording("product.no_temperature"), entry)
            return None
        return Said(name, entry, amount, interval, at=at if entry.timed else None)

    def _temperature(self, text: str, key: str) -> Interval | None:
        if not text:
            return None
        try:
            return read_quantity(text, "degC", TEMPERATURES)
        except NotAQuantity as error:
            allowed = show(TEMPERATURES, "degC")
            self._fault(key, wording("product.bad_temperature", given=text, why=error), allowed)
            return None

    def _misfit(self, written: str, text: str, why: str, entry: SheetEntry) -> None:
        what = wording("product.misfit", key=written, given=visible(in_short(text)), why=why)
        self._fault(written, what, allowed_words(entry), wording("product.as_in", key=written, example=entry.example))

    def _allowed_keys(self) -> str:
        return ", ".join((*HEAD, *self.base.sheet))

    def _fault(self, key: str, what: str, allowed: str = "", remedy: str = "") -> None:
        self.faults.append(Fault(self.document.where(key), what, allowed, remedy))


def _one_end(entry: SheetEntry, interval: Interval) -> Interval:
    """Of a limit the end that counts, as of `up to 85 %`; a true range is no limit."""
    if not entry.end or interval.low == interval.high:
        return interval
    if entry.end == "high" and interval.low == entry.plausible.low:
        return Interval(interval.high, interval.high)
    if entry.end == "low" and interval.high == entry.plausible.high:
        return Interval(interval.low, interval.low)
    raise NotAQuantity(wording("product.one_limit"))


def allowed_words(entry: SheetEntry) -> str:
    """What an entry may be given as, in one line."""
    if entry.type != "number":
        return ", ".join(entry.values)
    span, units = show(entry.plausible, entry.unit), spell_units(entry.unit)
    return wording("product.allowed", span=span, units=units, timed="yes" if entry.timed else "no")


def starter_sheet(base: RuleBase) -> str:
    """A sheet to fill in: every key with what it means, what is allowed and an example, all commented out."""
    head = (
        (wording("product.starter_what"), ()),
        (wording("product.starter_name"), ("product:",)),
        (wording("product.starter_like", finishes=", ".join(base.finishes)), ("like:",)),
        (wording("product.starter_sheet"), ("# sheet: {title: , date: }",)),
        (wording("product.starter_coat"), ("# coat:",)),
        (wording("product.starter_times"), ("# times_at: 77 F",)),
    )
    entries = (
        (f"{entry.means}; {allowed_words(entry)}", (f"# {name}: {entry.example.partition(' at ')[0]}",))
        for name, entry in base.sheet.items()
    )
    parts = ("\n".join((wrapped(says, "# ", "#   "), *lines)) for says, lines in (*head, *entries))
    return "\n\n".join(parts) + "\n"
