"""The advice as a page: the answer, what stops or endangers, the reasons, what is still unknown, every finish."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from advisor.answer.kind_words import heading, sheet_words
from advisor.model.advice import (
    Advice,
    AskedAbout,
    Certainty,
    FinishStanding,
    Hazard,
    Points,
    Reason,
    Referred,
    ToDo,
    Unused,
)
from advisor.pages.blocks import Block, Heading, Item, Listing, Notice, Page, Paragraph, Table
from advisor.pages.causes_page import short_blocks
from explanations.wording import label, listed, wording

if TYPE_CHECKING:
    from rich.console import Console

MOST_QUESTIONS = 5
MOST_REASONS = 6
MOST_ASKED = 2  # reasons of the finish asked about
MOST_TURNS = 4


def print_advice(advice: Advice, console: Console) -> None:
    """Print the whole answer."""
    from advisor.pages.text import print_page

    print_page(advice_page(advice), console)


def advice_page(advice: Advice) -> Page:
    """The whole answer, to be printed or written to a file."""
    return Page(advice.floor or wording("report.title"), tuple(_parts(advice)))


def _parts(advice: Advice) -> Iterator[Block]:
    names = {standing.finish: standing for standing in advice.standings}
    leading = names.get(advice.answer.leading or "")
    yield Heading(advice.floor or wording("report.title"), 1)
    yield from _asked(advice.answer.asked)
    yield Heading(heading(advice.answer, leading is not None and leading.total < 0))
    yield Paragraph(advice.answer.sentence)
    yield from _stops(advice.stops)
    yield from _set_aside(advice.set_aside)
    yield from _to_dos(wording("report.holds"), advice.holds)
    yield from _dangers(advice, leading)
    if leading:
        yield from _why(advice, leading)
        if advice.stops:
            yield Heading(wording("report.first"))
            yield Paragraph(wording("report.call_first"))
        else:
            yield from _to_dos(wording("report.first_for", finish=leading.name), leading.first)
    if advice.went_wrong:
        yield from short_blocks(advice.went_wrong)
    yield from _by_sheet(advice)
    if runner_up := names.get(advice.answer.runner_up or ""):
        yield from _runner_up(leading, runner_up)
    yield from _certainty(advice.certainty)
    yield from _questions(advice)
    yield from _referrals(advice.referrals)
    yield from _all_finishes(advice)
    yield from _hazards_of_work(advice, leading)
    yield from _footing(advice)


def _section(title: str, items: Iterable[str | Item], numbered: bool = False) -> Iterator[Block]:
    if items := tuple(items):
        yield Heading(title)
        yield Listing(items, numbered)


def _because(reasons: Iterable[Reason]) -> tuple[str, ...]:
    return tuple(wording("report.because", why=reason.because, rule=reason.rule) for reason in reasons)


def _asked(asked: AskedAbout | None) -> Iterator[Block]:
    """What the customer asked about, before the better choice."""
    if asked:
        yield Heading(wording("asked.heading", name=asked.name))
        yield Paragraph(asked.sentence)
        further = [each for each in asked.reasons if each.because not in asked.sentence][:MOST_ASKED]
        if further:
            yield Listing(_because(further))


def _by_sheet(advice: Advice) -> Iterator[Block]:
    """The numbers of each maker's sheet, beside the defaults."""
    for standing in advice.standings:
        if sheet := standing.by_sheet:
            yield from _section(wording("product.numbers_of", name=sheet.product), sheet_words(sheet))


def _stops(stops: Iterable[Referred]) -> Iterator[Block]:
    for stop in stops:
        yield Notice(wording("report.stop", who=stop.who), (Item(stop.tell, _because(stop.reasons)),))


def _set_aside(unused: Iterable[Unused]) -> Iterator[Block]:
    items = [
        Item(
            each.says,
            (
                *(wording("report.may_be", what=text) for text in each.explanations),
                wording("report.decides", what=each.test),
            ),
        )
        for each in unused
    ]
    yield from _section(wording("report.set_aside"), items)


def _to_dos(title: str, to_dos: Iterable[ToDo]) -> Iterator[Block]:
    items = [
        Item(
            wording("report.to_do", kind=wording(f"report.kind.{to_do.kind}"), what=to_do.says),
            _because(to_do.reasons[:2]),
        )
        for to_do in to_dos
    ]
    yield from _section(title, items)


def _concerning(advice: Advice, leading: FinishStanding | None) -> list[Hazard]:
    """The hazards of this floor, of the leading finish, and of the one that the customer asked about."""
    about = {leading.finish} if leading else set()
    if advice.answer.asked:
        about.add(advice.answer.asked.finish)
    return [hazard for hazard in advice.hazards if hazard.floor or about & set(hazard.finishes)]


def _from_facts(advice: Advice, hazard: Hazard) -> bool:
    """Whether facts of this floor raise the hazard, rather than the finish whatever the floor."""
    resting = {firing.rule for firing in advice.trace.firings if firing.antecedents}
    return any(reason.rule in resting for reason in hazard.reasons)


def _dangers(advice: Advice, leading: FinishStanding | None) -> Iterator[Block]:
    """At the top: what the facts of this floor warn of, and the names of the dangers of the work itself."""
    concerning = _concerning(advice, leading)
    top = [h for h in concerning if h.floor or (h.severity == "danger" and _from_facts(advice, h))]
    items = [_hazard(hazard) for hazard in top]
    if below := [h.title for h in concerning if h.severity == "danger" and h not in top]:
        items.append(wording("report.dangers_below", hazards=listed(below)))
    if items:
        yield Notice(wording("report.dangers"), tuple(items))


def _hazards_of_work(advice: Advice, leading: FinishStanding | None) -> Iterator[Block]:
    """All hazards of this floor and the leading finish in full; those of other finishes by name."""
    shown = _concerning(advice, leading)
    others = [h.title for h in advice.hazards if h not in shown]
    title = wording("report.hazards_with", finish=leading.name) if leading else wording("report.hazards")
    if shown:
        yield Notice(title, tuple(map(_hazard, shown)))
    elif others:
        yield Heading(title)
    if others:
        yield Paragraph(wording("report.other_hazards", hazards=listed(others)))
    yield Paragraph(advice.deference, strong=True)


def _hazard(hazard: Hazard) -> str:
    severity = wording(f"page.severity.{hazard.severity}")
    if hazard.step == "any":
        return wording("page.hazard", severity=severity, says=hazard.says)
    return wording("page.hazard_in_step", severity=severity, step=label("value", hazard.step), says=hazard.says)


def _why(advice: Advice, leading: FinishStanding) -> Iterator[Block]:
    """The weightiest points for the leading finish, and those against it."""
    awards = sorted(leading.points, key=lambda award: -abs(award.weighted))
    speaking_for = [award for award in awards if award.weighted > 0][:MOST_REASONS]
    against = [award for award in awards if award.weighted < 0][:MOST_REASONS]
    title = wording("report.why") if advice.answer.finish else wording("report.leading", finish=leading.name)
    yield from _section(title, map(_award, speaking_for))
    yield from _section(wording("report.against"), map(_award, against))


def _award(award: Points) -> str:
    points, criterion = f"{award.weighted:+d}", label("criterion", award.criterion)
    return wording("report.award", why=award.because, criterion=criterion, points=points, rule=award.rule)


def _runner_up(leading: FinishStanding | None, runner_up: FinishStanding) -> Iterator[Block]:
    assert leading is not None
    how, behind = "conditions" if runner_up.first else "outright", leading.total - runner_up.total
    told = [wording("report.runner_behind", finish=runner_up.name, how=how, n=behind)]
    if gains := _gaining(leading, runner_up):
        told.append(wording("report.gains", criteria=listed(label("criterion", each) for each in gains)))
    yield Heading(wording("report.runner_up"))
    yield Paragraph(" ".join(told))


def _gaining(leading: FinishStanding, other: FinishStanding) -> list[str]:
    def by_criterion(standing: FinishStanding) -> dict[str, int]:
        sums: dict[str, int] = {}
        for award in standing.points:
            sums[award.criterion] = sums.get(award.criterion, 0) + award.weighted
        return sums

    first, second = by_criterion(leading), by_criterion(other)
    return sorted(name for name in second.keys() | first.keys() if second.get(name, 0) > first.get(name, 0))


def _certainty(certainty: Certainty | None) -> Iterator[Block]:
    """How settled it is, and the answers that it hangs on."""
    if certainty is None:
        return
    yield Heading(wording("certainty.title"))
    yield Paragraph(certainty.says)
    if certainty.turns:
        yield Listing(tuple(turning.says for turning in certainty.turns[:MOST_TURNS]))
    if (more := len(certainty.turns) - MOST_TURNS) > 0:
        yield Paragraph(wording("certainty.further", n=more))
    if certainty.state != "certain":
        yield Paragraph(wording("certainty.rarer"))


def _questions(advice: Advice) -> Iterator[Block]:
    asked = advice.ask_next[:MOST_QUESTIONS]
    items = [
        Item(
            wording("report.question", ask=question.ask, fact=question.fact),
            (wording("report.how", why=question.why, how=question.find_out),),
        )
        for question in asked
    ]
    yield from _section(wording("report.find_out"), items, numbered=True)
    if more := len(advice.ask_next) - len(asked):
        yield Paragraph(wording("report.further", n=more))
    if asked and advice.certainty is None:
        yield Paragraph(wording("report.next_certain"))


def _referrals(referrals: Iterable[Referred]) -> Iterator[Block]:
    items = [wording("report.ask_one", who=each.who, tell=each.tell) for each in referrals]
    yield from _section(wording("report.also_ask"), items)


def _all_finishes(advice: Advice) -> Iterator[Block]:
    rows = tuple(
        (
            str(standing.rank) if standing.rank else wording("report.no_rank"),
            standing.name,
            str(standing.total),
            _standing_words(standing),
        )
        for standing in advice.standings
    )
    head = ("", *(wording(f"report.column.{each}") for each in ("finish", "points", "standing")))
    yield Heading(wording("report.all"))
    yield Table(head, rows, frozenset({0, 2}), (0, 3, 0, 5))


def _standing_words(standing: FinishStanding) -> str:
    if standing.verdict == "ruled out":
        why, more = standing.ruled_out_by[0].because, len(standing.ruled_out_by) - 1
        return wording("report.out_more", why=why, n=more) if more else wording("report.out", why=why)
    if standing.verdict == "suits if":
        parts = [label("need", to_do.need) for to_do in standing.first if to_do.decides]
        if others := len(standing.first) - len(parts):
            parts.append(wording("report.preparations", n=others))
        return wording("report.suits_if", what=listed(parts))
    return wording("report.suits")


def _footing(advice: Advice) -> Iterator[Block]:
    mark = advice.rule_base
    told = wording("report.mark", date=advice.date, version=mark.version, mark=mark.fingerprint, n=mark.rules)
    lines = [wording("report.rests_on", what=advice.rests_on), told]
    if mark.products:
        lines.append(wording("product.judged_by", names=listed(mark.products)))
    for each in mark.overlays:
        key = "report.overlay_replaces" if each.replaced else "report.overlay"
        name = " ".join(filter(None, (each.name, each.version)))
        lines.append(wording(key, name=name, n=len(each.added), replaced=listed(each.replaced)))
        lines += each.safety
    yield from _section(wording("report.about"), lines)
