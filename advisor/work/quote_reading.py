"""A contractor's quote as it was typed in: its lines, in the words that contractors write."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from advisor.errors import BadFile, Fault, nearest
from advisor.model.entry import NONNEGATIVE
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import LONGEST, NotAQuantity, read_quantity
from advisor.model.quoting import QuotedLine
from advisor.physics.bounds import Interval
from advisor.rulebase.documents import Document, read_document
from explanations.wording import label, listed, wording

PRICE = re.compile(r"(?<![\d.,])(\d{1,3}(?:,\d{3})+|\d+)(\.\d\d?)?(k)?(?!\d|[.,]\d)", re.IGNORECASE)
DOLLARS = ("USD", "US$", "$", "dollar", "dollars")
ONE_OR_SPAN = re.compile(r"[^#]*#([^#]{0,6}(-|–|\bto\b)[^#]{0,6}#)?[^#]*")
EACH = re.compile(r"\s*(?:/|\bper\b|\ba\b)\s*(?=\S)", re.IGNORECASE)


@dataclass(frozen=True)
class Quote:
    """What a quote says: its words by line, and what they come to."""

    finish: str  # empty: not said
    said: dict[str, str]
    amounts: dict[str, Interval]
    named: dict[str, tuple[str, ...]]


def read_quote(path: Path, base: RuleBase, currency: str) -> Quote:
    """Read a quote that was typed in.

    Args:
        path: YAML, JSON or TOML with any of the rule base's `quoted` lines, and `finish`.
        base: for the lines, and what they may name.
        currency: of the price book that it is held to.

    Raises:
        BadFile: with every fault found.
    """
    return quote_of(read_document(path), base, currency)


def quote_of(document: Document, base: RuleBase, currency: str) -> Quote:
    """A quote from what was read.

    Raises:
        BadFile: with every fault found.
    """
    faults: list[Fault] = []
    names = ("finish", *base.quoted)
    known = {_plain(name): key for key, line in base.quoted.items() for name in (key, line.name, *line.also)}
    typed: dict[str, str] = {}  # each line, as it is called in the file
    for key in document.content:
        line = "finish" if _plain(key) == "finish" else known.get(_plain(key), "")
        if line in base.quoted and base.quoted[line].kind == "beside":
            continue
        if not line:
            allowed = wording("quote.keys", names=", ".join(names))
            faults.append(Fault(document.where(key), wording("quote.unknown", key=key), allowed, nearest(key, names)))
        elif line in typed:
            what = wording("quote.twice", key=key, other=typed[line])
            faults.append(Fault(document.where(key), what, remedy=wording("quote.once")))
        else:
            typed[line] = key
    quote = Quote(_finish(document, typed.get("finish", ""), base, faults), {}, {}, {})
    for line, entry in base.quoted.items():
        if line in typed and (given := document.content[typed[line]]) is not None:
            _read_line(quote, line, entry, given, base, currency, document.where(typed[line]), faults)
    if faults:
        raise BadFile(faults)
    return quote


def _plain(text: str) -> str:
    """As a name that is typed: `Shot-blasting` is shot_blasting."""
    return re.sub(r"[\s_-]+", "_", text.strip().lower())


def _finish(document: Document, key: str, base: RuleBase, faults: list[Fault]) -> str:
    named = str(document.content.get(key) or "") if key else ""
    known = {_plain(name): finish for finish, each in base.finishes.items() for name in (finish, each.name)}
    if named and _plain(named) not in known:
        where, allowed = document.where(key), ", ".join(base.finishes)
        faults.append(Fault(where, wording("job.no_finish"), allowed, nearest(named, base.finishes)))
    return known.get(_plain(named), "")


def _read_line(
    quote: Quote,
    key: str,
    line: QuotedLine,
    given: object,
    base: RuleBase,
    currency: str,
    where: str,
    faults: list[Fault],
) -> None:
    texts = [str(each).strip() for each in given] if isinstance(given, list) else [str(given).strip()]
    quote.said[key] = ", ".join(texts)
    example = wording("quote.example", example=line.example)
    if line.kind in ("amount", "money") and len(texts) != 1:
        faults.append(Fault(where, wording("quote.one", line=line.name), example))
    elif line.kind in ("amount", "money") and len(texts[0]) > LONGEST:
        what = wording("quote.unread", given=f"{texts[0][:40]} ...", why=wording("quantity.too_long"))
        faults.append(Fault(where, what, example))
    elif line.kind == "amount":
        try:
            quote.amounts[key] = _amount(texts[0], line)
        except NotAQuantity as error:
            faults.append(Fault(where, wording("quote.unread", given=texts[0], why=error), example))
    elif line.kind == "money":
        price = _price(texts[0], line, base, currency, quote.amounts.get("area"))
        if price is None:
            what = wording("quote.no_money", given=texts[0], currency=currency)
            faults.append(Fault(where, what, example))
        else:
            quote.amounts[key] = price
    elif line.kind in ("choice", "list"):
        if all(_plain(text) in line.nothing for text in texts):
            quote.named[key] = ()
            return
        words = _words(base, key, line)
        for text in texts:
            if _plain(text) not in words:
                what = wording("quote.no_such", given=text, line=line.name)
                faults.append(Fault(where, what, ", ".join(may_name(base, key)), nearest(_plain(text), words)))
        quote.named[key] = tuple(words[_plain(text)] for text in texts if _plain(text) in words)
        quote.said[key] = listed(_called(base, key, each) for each in quote.named[key])


def _amount(text: str, line: QuotedLine) -> Interval:
    """What a line says, up to where more words follow it: `4 days, weather allowing`.

    Raises:
        NotAQuantity: nothing of it can be read, or a second amount follows, as in `400 ft2 + 60 ft2`.
    """
    span = read_quantity(line.range, line.unit, NONNEGATIVE) if line.range else NONNEGATIVE
    try:
        return read_quantity(text, line.unit, span)
    except NotAQuantity:
        words = text.split()
        for end in range(len(words) - 1, 0, -1):
            with suppress(NotAQuantity):
                found = read_quantity(" ".join(words[:end]).rstrip(",;.("), line.unit, span)
                if any(_readable(each, line.unit) for each in _amounts(words[end:])):
                    break
                return found
        raise


def _amounts(words: list[str]) -> Iterator[str]:
    """What could be an amount among words: a number and the word after it."""
    for place, word in enumerate(words):
        if any(letter.isdigit() for letter in word):
            yield " ".join(words[place : place + 2])


def _readable(text: str, unit: str) -> bool:
    with suppress(NotAQuantity):
        read_quantity(text.strip(",;.()"), unit, NONNEGATIVE)
        return True
    return False


def _price(text: str, line: QuotedLine, base: RuleBase, currency: str, area: Interval | None) -> Interval | None:
    """What is asked in all, of one price or a span, or of so much an area; None where it is no such thing.

    A number with a decimal comma, or with a point where thousands part, is refused rather than guessed.
    """
    money, each = text, ""
    for found in EACH.finditer(text):
        with suppress(NotAQuantity):
            size = read_quantity("1 " + " ".join(text[found.end() :].split()[:2]), "m2", NONNEGATIVE)
            money, each = text[: found.start()], str(size.low)
            break
    prices = [
        float(whole.replace(",", "") + cents) * (1000.0 if thousand else 1.0)
        for whole, cents, thousand in PRICE.findall(money)
    ]
    shape = PRICE.sub("#", money)
    if any(letter.isdigit() for letter in shape) or not re.fullmatch(
        r"[^#]*#([^#]{0,6}(-|–|\bto\b)[^#]{0,6}#)?[^#]*", shape
    ):
        return None
    below_nothing = re.match(r"[^#]*[-−][^\w#]?#", shape)
    if below_nothing or prices != sorted(prices) or prices[0] <= 0 or not _in_money(money, currency, base, line):
        return None
    if not each:
        return Interval(prices[0], prices[-1])
    return Interval(prices[0] * area.low / float(each), prices[-1] * area.high / float(each)) if area else None


def _in_money(text: str, currency: str, base: RuleBase, line: QuotedLine) -> bool:
    """Whether a price names no money but the one that it is read in."""
    own = set(DOLLARS) if currency == "USD" else {currency}
    own |= {name for each in base.currencies.values() if currency in each.names for name in each.names}
    passed = {word.lower() for word in line.passes}
    others = {name for each in base.currencies.values() for name in each.names} | set(DOLLARS)
    for word in re.findall(r"[^\W\d_]+\$|[^\W\d_]+|\S", text):
        if word in own or word.lower() in {name.lower() for name in own} | passed:
            continue
        sign = any(unicodedata.category(letter) == "Sc" for letter in word)
        if sign or word in others or word.lower() in others or re.fullmatch("[A-Z]{3}", word):
            return False
    return True


def _words(base: RuleBase, key: str, line: QuotedLine) -> dict[str, str]:
    """By every word for it, what a line may name."""
    return {
        _plain(word): name
        for name in may_name(base, key)
        for word in (*line.spellings.get(name, ()), _called(base, key, name), name)
    }


def may_name(base: RuleBase, line: str) -> tuple[str, ...]:
    """What a line of the kind choice or list may name, by id."""
    match line:
        case "preparation":
            return base.properties["preparation"].choices
        case "includes":
            return tuple(name for name, task in base.tasks.items() if task.kind in ("preparation", "application"))
        case "top_coat":
            return tuple(name for name, each in base.materials.items() if each.kind == "material")
    return tuple(name for name, first in base.comes_first.items() if first.uses)


def _called(base: RuleBase, line: str, name: str) -> str:
    match line:
        case "preparation":
            return label("value", name)
        case "includes":
            return base.tasks[name].title
        case "top_coat":
            return base.materials[name].name
    return label("need", name)
