"""A contractor's quote, set against the job as it is worked out here: what is missing, what is odd, what to ask."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from advisor.errors import BadFile, Fault, nearest
from advisor.model.entry import NONNEGATIVE
from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity, show_both
from advisor.model.quoting import AcceptanceTest, QuotedLine
from advisor.model.reader import days_words
from advisor.physics.bounds import Interval
from advisor.rulebase.documents import Document, read_document
from advisor.work.cost import cost_range
from advisor.work.fit import days_shut
from advisor.work.job import Job, JobStep, find_procedure
from advisor.work.takeoff import TakeOff
from explanations.wording import label, listed, wording

Stands = Literal["alike", "less", "more", "other", "missing"]
MONEY = re.compile(r"(?:(?P<before>[A-Z]{3})\s*)?(?P<number>\d[\d,]*(?:\.\d+)?)(?:\s*(?P<after>[A-Z]{3}))?")


@dataclass(frozen=True)
class Quote:
    """What a quote says: its words by line, and what they come to."""

    finish: str  # empty: not said
    said: dict[str, str]
    amounts: dict[str, Interval]
    named: dict[str, tuple[str, ...]]


@dataclass(frozen=True)
class Remark:
    """One line of a quote beside the job: what each says, how they stand, and what to ask."""

    line: str
    name: str
    quoted: str  # empty: nothing
    here: str
    stands: Stands
    ask: str  # empty: nothing


@dataclass(frozen=True)
class QuoteCheck:
    """A quote, line by line, and what to agree on before it is signed."""

    finish: Finish
    remarks: tuple[Remark, ...]
    acceptance: dict[str, AcceptanceTest]

    @property
    def odd(self) -> tuple[Remark, ...]:
        """The lines that say something else than the job here."""
        return tuple(each for each in self.remarks if each.stands not in ("alike", "missing"))

    @property
    def missing(self) -> tuple[Remark, ...]:
        """The lines that the quote does not hold."""
        return tuple(each for each in self.remarks if each.stands == "missing")


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
    elif line.kind == "amount":
        span = read_quantity(line.range, line.unit, NONNEGATIVE) if line.range else NONNEGATIVE
        try:
            quote.amounts[key] = read_quantity(texts[0], line.unit, span)
        except NotAQuantity as error:
            faults.append(Fault(where, wording("quote.unread", given=texts[0], why=error), example))
    elif line.kind == "money":
        money = MONEY.fullmatch(texts[0])
        told = (money["before"] or money["after"] or currency) if money else ""
        if money is None or told != currency or float(money["number"].replace(",", "")) <= 0:
            what = wording("quote.no_money", given=texts[0], currency=currency)
            faults.append(Fault(where, what, example))
        else:
            price = float(money["number"].replace(",", ""))
            quote.amounts[key] = Interval(price, price)
    else:
        words = _words(base, key, line)
        for text in texts:
            if _plain(text) not in words:
                what = wording("quote.no_such", given=text, line=line.name)
                faults.append(Fault(where, what, ", ".join(may_name(base, key)), nearest(_plain(text), words)))
        quote.named[key] = tuple(words[_plain(text)] for text in texts if _plain(text) in words)
        quote.said[key] = listed(_called(base, key, each) for each in quote.named[key])


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


def check_quote(study: TakeOff, finish: str, quote: Quote) -> QuoteCheck:
    """Set a quote beside the job of a finish, done by a crew.

    Raises:
        BadJob: no area is known, or there is no such finish.
        Unpriced: the price book lacks something that the job needs.
    """
    job = study.job(finish, hired=True)
    made = job.finish
    remarks = [
        _remark(study, job, quote, key, line) for key, line in study.base.quoted.items() if _matters(line.where, made)
    ]
    wanted = {name: each for name, each in study.base.acceptance.items() if _matters(each.where, made)}
    return QuoteCheck(made, tuple(remarks), wanted)


def _matters(where: dict[str, tuple[str, ...]], finish: Finish) -> bool:
    return all(set(finish.properties[name].choices) & set(values) for name, values in where.items())


def _remark(study: TakeOff, job: Job, quote: Quote, key: str, line: QuotedLine) -> Remark:
    here, stands = LINES[key](study, job, quote)
    said = quote.said.get(key, "")
    if key not in quote.said:
        stands = "missing" if here else "alike"
    return Remark(key, line.name, said, here, stands, "" if stands == "alike" else line.ask)


Compared = tuple[str, Stands]


def _apart(quoted: Interval | None, low: float, high: float) -> Stands:
    if quoted is None or (quoted.high >= low and quoted.low <= high):
        return "alike"
    return "less" if quoted.high < low else "more"


def _area(study: TakeOff, job: Job, quote: Quote) -> Compared:
    apart, area = job.norm("sizes_agree").high / 100.0, job.extent.area
    stands = _apart(quote.amounts.get("area"), area.low * (1.0 - apart), area.high * (1.0 + apart))
    return study.reader.span(area, "m2"), stands


def _preparation(study: TakeOff, job: Job, quote: Quote) -> Compared:
    order, (needed,) = study.base.properties["preparation"].choices, job.finish.properties["preparation"].choices
    quoted = [order.index(each) for each in quote.named.get("preparation", ())]
    stands: Stands = "less" if quoted and max(quoted) < order.index(needed) else "alike"
    return label("value", needed), stands


def _includes(_: TakeOff, job: Job, quote: Quote) -> Compared:
    listed_there, asked = quote.named.get("includes", ()), list(_conditional(job))
    left_out = [step.title for step in asked if step.do not in listed_there]
    words = listed(wording("quote.step" if step.certain else "quote.step_if", step=step.title) for step in asked)
    return words, "less" if left_out else "alike"


def _conditional(job: Job) -> Iterator[JobStep]:
    """The steps that not every floor needs: those that a bare and sound floor would not have."""
    _, procedure = find_procedure(job.base, job.finish.id)
    usual = {
        step.do
        for step in procedure.steps
        if not step.above and (not step.where or "bare" in step.where.get("on_floor", ()))
    }
    return (step for step in job.steps if step.do not in usual)


def _coats(_: TakeOff, job: Job, quote: Quote) -> Compared:
    n = float(len(_coats_of(job)))
    quoted = quote.amounts.get("coats")
    return wording("quote.coats", n=int(n)), "less" if quoted and quoted.high < n else "alike"


def _coats_of(job: Job) -> list[JobStep]:
    """The steps that lay something on the floor by a thickness or weight, without what is strewn into them."""
    return [step for step in job.steps if step.task.kind == "application" and not step.alongside and _lays(step)]


def _lays(step: JobStep) -> bool:
    return any(use.basis in ("dry", "weight") for use in step.uses.values())


def _dry_thickness(_: TakeOff, job: Job, quote: Quote) -> Compared:
    span = job.finish.properties["dry_thickness"].interval
    if span is None:
        return "", "alike"
    return show_both(span, "um"), _apart(quote.amounts.get("dry_thickness"), span.low, span.high)


def _top_coat(study: TakeOff, job: Job, quote: Quote) -> Compared:
    coats = _coats_of(job)
    last = [name for name, use in coats[-1].uses.items() if use.basis in ("dry", "weight")] if coats else []
    quoted = quote.named.get("top_coat", ())
    words = listed(study.base.materials[name].name for name in last)
    return words, "other" if quoted and not set(quoted) & set(last) else "alike"


def _tests(study: TakeOff, job: Job, quote: Quote) -> Compared:
    first = [need for need in job.first if (each := study.base.comes_first.get(need)) and each.uses]
    left_out = set(first) - set(quote.named.get("tests", ()))
    return listed(label("need", need) for need in first), "less" if left_out else "alike"


def _days(study: TakeOff, job: Job, quote: Quote) -> Compared:
    least, most = days_shut(study, job)
    quoted = quote.amounts.get("days")
    return days_words(least, most), "less" if quoted and quoted.high < least else "alike"


def _price(study: TakeOff, job: Job, quote: Quote) -> Compared:
    low, high = (each.total for each in cost_range(job, study.book))
    return study.reader.money(low, high), _apart(quote.amounts.get("price"), low, high)


LINES: dict[str, Callable[[TakeOff, Job, Quote], Compared]] = {
    "area": _area,
    "preparation": _preparation,
    "includes": _includes,
    "coats": _coats,
    "dry_thickness": _dry_thickness,
    "top_coat": _top_coat,
    "tests": _tests,
    "days": _days,
    "price": _price,
}
