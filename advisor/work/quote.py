"""A contractor's quote, set against the job as it is worked out here: what is missing, what is odd, what to ask."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from advisor.model.finishes import Finish
from advisor.model.quantities import show_both
from advisor.model.quoting import AcceptanceTest, QuotedLine
from advisor.model.reader import days_words
from advisor.physics.bounds import Interval
from advisor.work.cost import cost_range
from advisor.work.fit import days_shut
from advisor.work.job import Job, JobStep, find_procedure
from advisor.work.quote_reading import Quote
from advisor.work.takeoff import TakeOff
from explanations.wording import label, listed, wording

Stands = Literal["alike", "less", "more", "other", "missing"]


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


def check_quote(study: TakeOff, finish: str, quote: Quote) -> QuoteCheck:
    """Set a quote beside the job of a finish, done by a crew.

    Raises:
        BadJob: no area is known, or there is no such finish.
        Unpriced: the price book lacks something that the job needs.
    """
    job = study.job(finish, hired=True)
    made = job.finish
    remarks = [
        _remark(study, job, quote, key, line)
        for key, line in study.base.quoted.items()
        if line.kind != "beside" and (key in quote.said or _matters(line.where, made))
    ]
    wanted = {name: each for name, each in study.base.acceptance.items() if _matters(each.where, made)}
    return QuoteCheck(made, tuple(remarks), wanted)


def _matters(where: dict[str, tuple[str, ...]], finish: Finish) -> bool:
    return all(set(finish.properties[name].choices) & set(values) for name, values in where.items())


def _remark(study: TakeOff, job: Job, quote: Quote, key: str, line: QuotedLine) -> Remark:
    said = quote.said.get(key, "")
    if not _matters(line.where, job.finish):  # of another finish, which nobody may have named
        return Remark(key, line.name, said, wording("quote.no_such_line"), "other", wording("quote.which_finish"))
    here, stands = LINES[key](study, job, quote)
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
    if not quoted and "top_coat" in quote.said and last:
        return words, "less"
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


def _warranty(*_: object) -> Compared:
    return wording("quote.warranty"), "alike"


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
    "warranty": _warranty,
}
