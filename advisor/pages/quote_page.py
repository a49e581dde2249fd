"""The page of a quote that was checked, and the same as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from advisor.model.advice import RuleBaseMark
from advisor.model.published import Part, Published
from advisor.model.quoting import AcceptanceTest
from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph, Table
from advisor.pages.parts import footing, heads
from advisor.rulebase.bibliography import source_id
from advisor.work.quote import QuoteCheck, Remark, Stands
from advisor.work.takeoff import TakeOff
from explanations.wording import wording
from explanations.words import sentence


class LineChecked(Part):
    """One line of a quote beside the job."""

    line: str
    quoted: str
    here: str
    stands: Stands
    ask: str


class Agreed(Part):
    """A test of acceptance."""

    test: str
    title: str
    says: str
    agree: str
    sources: tuple[str, ...]


class Checked(Published):
    """A quote, set against the job of a finish."""

    format: Literal["slab-finish-quote/1"] = "slab-finish-quote/1"
    floor: str
    finish: str
    lines: tuple[LineChecked, ...]
    acceptance: tuple[Agreed, ...] = Field(description="What to agree on before signing.")
    deference: str
    rule_base: RuleBaseMark


def quote_record(study: TakeOff, check: QuoteCheck) -> Checked:
    """The check as data."""
    return Checked(
        floor=study.case.floor,
        finish=check.finish.id,
        lines=tuple(
            LineChecked(line=each.line, quoted=each.quoted, here=each.here, stands=each.stands, ask=each.ask)
            for each in check.remarks
        ),
        acceptance=tuple(
            Agreed(test=name, title=each.title, says=each.says, agree=_agree(check, each), sources=each.source)
            for name, each in check.acceptance.items()
        ),
        deference=study.advice.deference,
        rule_base=study.advice.rule_base,
    )


def quote_page(study: TakeOff, check: QuoteCheck) -> Page:
    """What is missing or odd, what to ask, and what to agree on."""
    title = wording("quote.title", finish=check.finish.name)
    return Page(title, tuple(_blocks(study, check, title)))


def _blocks(study: TakeOff, check: QuoteCheck, title: str) -> Iterator[Block]:
    yield from heads(study, title, check.finish.id, waits=False)
    yield Paragraph(wording("quote.lead", odd=len(check.odd), missing=len(check.missing)), strong=True)
    head = tuple(wording(f"quote.{each}") for each in ("line", "quoted", "here", "how"))
    yield Table(head, tuple(_row(study, each) for each in check.remarks), frozenset(), (2, 4, 5, 3))
    if asked := tuple(wording("quote.asked", line=each.name, ask=each.ask) for each in check.remarks if each.ask):
        yield Heading(wording("quote.ask"))
        yield Listing(asked)
    yield Heading(wording("quote.acceptance"))
    head = tuple(wording(f"quote.{each}") for each in ("test", "how_tried", "agree", "by"))
    rows = tuple(
        (each.title, sentence(each.says), _agree(check, each), _standards(study, each))
        for each in check.acceptance.values()
    )
    yield Table(head, rows, frozenset(), (2, 5, 4, 2))
    yield Paragraph(wording("quote.no_judgement"))
    yield from footing(study, check.finish.id)


def _row(study: TakeOff, remark: Remark) -> tuple[str, ...]:
    quoted = remark.quoted or wording("quote.nothing")
    words = study.base.quoted[remark.line].kind == "words" and remark.stands == "alike"
    how = wording("quote.not_weighed" if words else f"quote.stands.{remark.stands}")
    return remark.name, quoted, remark.here or wording("quote.nobody_needs"), how


def _agree(check: QuoteCheck, test: AcceptanceTest) -> str:
    """With the finish's own figures in place of their names."""
    return sentence(test.agree.format(**{name: each.given for name, each in check.finish.properties.items()}))


def _standards(study: TakeOff, test: AcceptanceTest) -> str:
    titles = (study.base.sources[source_id(each)] for each in test.source)
    return ", ".join(each.title.split(",")[0] for each in titles if each.kind == "standard") or "-"
