"""What a visitor brings along: makers' data sheets and prices of their own.

They stand in the address with all else that was said (`visit`): read by the same functions as the command line reads
files, never written to this machine's disk, and nobody else's. They are packed with the shipped price book and the
entries of sheets as dictionary, which most lines of such files resemble.
"""

from __future__ import annotations

import csv
import json
import zlib
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import dataclass, replace
from io import StringIO

from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRequest, Fault
from advisor.model.knowledge import RuleBase
from advisor.model.remembered import OncePerBase
from advisor.rulebase.data_sheets import HEAD
from advisor.rulebase.products import with_products
from advisor.sent import Sent
from advisor.sheets import neutral, read_sheet
from advisor.web.asked import Desk
from advisor.web.recent import Recent
from advisor.work.book_reading import demo_book, read_pricebook
from explanations.wording import wording
from explanations.words import visible

MOST_SHEETS, LARGEST_SHEET, LARGEST_BOOK = 3, 8_000, 200_000  # bytes, as sent
LONGEST = 6000  # characters of an address
LONGEST_NAME = 60
MOST_REASONERS = 4  # of the visitors that came last, in each process
MOST_MADE = 12  # each takes some 27 MB that the engine never gives back; then the process is replaced


@dataclass(frozen=True)
class Own:
    """Makers' data sheets, each of which makes one finish more, and a price book."""

    sheets: tuple[Sent, ...] = ()
    prices: Sent | None = None

    def __bool__(self) -> bool:
        return bool(self.sheets or self.prices)


NOTHING = Own()


def pack_own(own: Own, base: RuleBase) -> str:
    """What was brought as a text for an address; nothing is nothing.

    Raises:
        BadRequest: it is more than an address holds.
    """
    if not own:
        return ""
    files = [[each.name, each.kind, each.content.decode()] for each in (*own.sheets, *filter(None, (own.prices,)))]
    packing = zlib.compressobj(9, zdict=_dictionary(base))
    told = json.dumps([len(own.sheets), files], ensure_ascii=False, separators=(",", ":")).encode()
    packed = urlsafe_b64encode(packing.compress(told) + packing.flush()).decode().rstrip("=")
    if len(packed) > LONGEST:
        share = round(100 * LONGEST / len(packed))
        raise BadRequest([Fault("", wording("web_own.too_much"), remedy=wording("web_own.less", share=share))])
    return packed


def unpack_own(text: str, base: RuleBase) -> Own:
    """What an address says was brought.

    Raises:
        ValueError, TypeError, AttributeError, zlib.error: it says no such thing.
    """
    if not text:
        return NOTHING
    if len(text) > LONGEST:
        raise ValueError("too long")
    unpacking = zlib.decompressobj(zdict=_dictionary(base))
    told = unpacking.decompress(
        urlsafe_b64decode(text + "=" * (-len(text) % 4)), MOST_SHEETS * LARGEST_SHEET + 2 * LARGEST_BOOK
    )
    if not unpacking.eof:
        raise ValueError("cut off, or too large")
    n, files = json.loads(told.decode())
    sent = [Sent(_name(name), content.encode(), _name(kind)) for name, kind, content in files]
    if not 0 <= n <= MOST_SHEETS or not n <= len(sent) <= n + 1:
        raise ValueError("too many")
    return Own(tuple(sent[:n]), sent[n] if len(sent) > n else None)


def _name(text: object) -> str:
    if not isinstance(text, str) or len(text) > LONGEST_NAME or visible(text) != text:
        raise ValueError("no name")
    return text


@OncePerBase
def _dictionary(base: RuleBase) -> bytes:
    """Of what no product changes: packed with one and unpacked with another rule base, it is the same."""
    entries = (f"{name}: {entry.example}" for name, entry in base.sheet.items())
    return "\n".join((*HEAD, *entries)).encode() + demo_book().read_bytes()


def with_sheet(own: Own, sent: Sent, desk: Desk) -> Own:
    """The same with one data sheet more.

    Raises:
        BadFile: with every fault.
        BadRequest: it is too large, or one too many.
    """
    if len(own.sheets) >= MOST_SHEETS:
        raise BadRequest([Fault("", wording("web_own.enough", most=MOST_SHEETS), remedy=wording("web_own.take_away"))])
    _bounded(sent, LARGEST_SHEET)
    after = replace(own, sheets=(*own.sheets, sent))
    with_products(desk.base, [sent])  # of the base with those brought before
    return after


def with_prices(own: Own, sent: Sent, desk: Desk) -> Own:
    """The same with this price book; of a workbook its first sheet is kept, as text.

    Raises:
        BadSheet, BadPriceBook: with every fault.
        BadRequest: it is too large.
    """
    _bounded(sent, LARGEST_BOOK)
    read_pricebook(sent, desk.base, desk.today)
    return replace(own, prices=_as_text(sent) if sent.suffix.lower() == ".xlsx" else sent)


def _bounded(sent: Sent, most: int) -> None:
    if len(sent.content) > most:
        raise BadRequest([Fault(sent.name, wording("web_own.too_large", most=f"{most:,}"))])


def _as_text(workbook: Sent) -> Sent:
    sheet, file = read_sheet(workbook), StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(sheet.headings)
    writer.writerows([neutral(cell) for cell in row.values()] for _, row in sheet.rows)
    return Sent(f"{workbook.name.rpartition('.')[0]}.csv", file.getvalue().encode())


def pasted(text: str, name: str) -> Sent:
    """A table that was pasted: cells copied from a spreadsheet have tabs between them."""
    lines = text.replace("\r\n", "\n").strip().split("\n")
    if "\t" in lines[0]:
        file = StringIO()
        csv.writer(file, lineterminator="\n").writerows(line.split("\t") for line in lines)
        return Sent(name, file.getvalue().encode(), ".csv")
    return Sent(name, "\n".join(lines).encode(), ".csv")


_reasoners: Recent[Reasoner] = Recent(MOST_REASONERS)
_made = 0


def desk_with(desk: Desk, own: Own) -> Desk:
    """The desk as it is for who brought this: the products judged beside the finishes, and the prices used.

    Raises:
        BadFile: a data sheet is none, with every fault.
    """
    if own.sheets:
        desk = replace(desk, reasoner=_reasoners.of((id(desk.base), own.sheets), lambda: _reasoner(desk, own)))
    return replace(desk, house=replace(desk.house, prices=own.prices)) if own.prices else desk


def _reasoner(desk: Desk, own: Own) -> Reasoner:
    global _made
    _made += 1
    return Reasoner(with_products(desk.base, own.sheets), desk.reasoner.seed)


def worn() -> bool:
    """Whether this process has made so many rule bases ready that another should take its place."""
    return _made >= MOST_MADE
