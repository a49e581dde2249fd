"""The advice in full: the answer, what stops or endangers, the reasons, what is still unknown, every finish, the work.

Each hazard is told once: what is special to this floor at the top, every other where the work meets it; all of them
stand in a list at the end. The same answer on one screen is `short_answer`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import TYPE_CHECKING

from advisor.answer.kind_words import heading, sheet_words
from advisor.model.advice import Advice, AskedAbout, Certainty, Question, Referred, Unused
from advisor.model.standing import FinishStanding, Hazard, Points, Reason, ToDo
from advisor.pages.blocks import Block, Heading, Item, Listing, Notice, Page, Paragraph, Table
from advisor.pages.causes_page import short_blocks
from advisor.pages.reason_words import weighed_words
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
    leading = advice.leading
    yield Heading(advice.floor or wording("report.title"), 1)
    yield from _asked(advice.answer.asked)
    yield Heading(heading(advice.answer, leading is not None and leading.total < 0))
    yield Paragraph(advice.opening)
    yield from _stops(advice.stops)
    yield from _set_aside(advice.set_aside)
    yield from _to_dos(wording("report.holds"), advice.holds)
    yield from _dangers(advice)
    if leading:
        yield from _why(advice, leading)
        if advice.stops:
            yield Heading(wording("report.first"))
            yield Paragraph(wording("report.call_first"))
        else:
            yield from _to_dos(wording("report.first_for", finish=leading.name), leading.first)
    if advice.went_wrong:
        yield from short_blocks(advice.went_wrong)
    if advice.fit:
        yield from _section(wording("report.fit"), advice.fit.says)
    yield from _by_sheet(advice)
    if runner_up := advice.standing(advice.answer.runner_up):
        yield from _runner_up(leading, runner_up)
    yield from _certainty(advice.certainty)
    yield from _questions(advice)
    yield from _referrals(advice.referrals)
    yield from _all_finishes(advice)
    yield from _work(advice)
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


def _dangers(advice: Advice) -> Iterator[Block]:
    """At the top: in full what is special to this floor, and the names of what the work meets."""
    items = [_hazard(each) for each in advice.concerning if each.in_full]
    if below := [each.title for each in advice.concerning if not each.in_full]:
        items.append(wording("report.dangers_below", hazards=listed(below)))
    if items:
        yield Notice(wording("report.dangers"), tuple(items))


FROM_THE_START = ("any", "preparation")  # of what no step carries by itself; all else is told after the steps


def _work(advice: Advice) -> Iterator[Block]:
    """The steps of the work, each hazard in full where it is met first; then all hazards as a list."""
    steps = () if advice.stops or advice.holds else advice.steps  # nobody plans what may not be begun
    carried = {name for step in steps for name in step.cautions}
    loose = [each for each in advice.concerning if each.caution not in carried and not each.in_full]
    told = {each.caution for each in advice.concerning if each.in_full}
    yield from _section(wording("report.throughout"), [_hazard(h) for h in loose if h.step in FROM_THE_START])
    if steps:
        finish = advice.leading.name if advice.leading else ""
        yield from _section(wording("report.work", finish=finish), _steps(advice, told), numbered=True)
    yield from _section(wording("report.afterwards"), [_hazard(h) for h in loose if h.step not in FROM_THE_START])
    yield from _section(wording("report.hazards"), [_in_list(h) for h in advice.concerning])
    if others := [each.title for each in advice.hazards if each not in advice.concerning]:
        yield Paragraph(wording("report.other_hazards", hazards=listed(others)))
    yield Paragraph(advice.deference, strong=True)


def _steps(advice: Advice, told: set[str]) -> Iterator[Item]:
    """Each step with its hazards: in full the first time, by name from then on."""
    known = {each.caution: each for each in advice.concerning}
    for step in advice.steps:
        met = [known[name] for name in step.cautions if name in known]
        below = [_severe(each, each.says) for each in met if each.caution not in told]
        if again := [each.title for each in met if each.caution in told]:
            below.append(wording("report.again", hazards=listed(again)))
        told |= {each.caution for each in met}
        yield Item(wording("report.step" if step.certain else "report.step_if", step=step.title), tuple(below))


def _in_list(hazard: Hazard) -> str:
    return _severe(hazard, hazard.title)


def _severe(hazard: Hazard, says: str) -> str:
    return wording("page.hazard", severity=wording(f"page.severity.{hazard.severity}"), says=says)


def _hazard(hazard: Hazard) -> str:
    if hazard.step == "any":
        return _severe(hazard, hazard.says)
    severity = wording(f"page.severity.{hazard.severity}")
    return wording("page.hazard_in_step", severity=severity, step=label("value", hazard.step), says=hazard.says)


def _why(advice: Advice, leading: FinishStanding) -> Iterator[Block]:
    """The weightiest points for the leading finish, and those against it."""
    awards = sorted(leading.points, key=lambda award: -abs(award.weighted))
    speaking_for = [award for award in awards if award.weighted > 0][:MOST_REASONS]
    against = [award for award in awards if award.weighted < 0][:MOST_REASONS]
    title = wording("report.why") if advice.answer.finish else wording("report.leading", finish=leading.name)
    stated = {each.criterion for each in advice.weighed}
    yield from _section(title, [*(_award(each, stated) for each in speaking_for), *weighed_words(advice)])
    yield from _section(wording("report.against"), (_award(each, stated) for each in against))


def _award(award: Points, stated: Collection[str]) -> str:
    """Points as counted, and times what, where that is not one or the customer said how much the criterion matters."""
    points, criterion = f"{award.weighted:+d}", label("criterion", award.criterion)
    weight = award.weighted // award.points
    if weight != 1 or award.criterion in stated:
        points = wording("telling.counted", counted=points, points=f"{award.points:+d}", times=str(weight))
    return wording("report.award", why=award.because, criterion=criterion, points=points, rule=award.rule)


def _runner_up(leading: FinishStanding | None, runner_up: FinishStanding) -> Iterator[Block]:
    assert leading is not None
    how, behind = "conditions" if runner_up.first else "outright", leading.total - runner_up.total
    told = [wording("report.runner_behind", finish=runner_up.name, how=how, n=behind)]
    if gains := leading.behind_on(runner_up):
        told.append(wording("report.gains", criteria=listed(label("criterion", each) for each in gains)))
    yield Heading(wording("report.runner_up"))
    yield Paragraph(" ".join(told))


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
            question.ask,
            tuple(filter(None, (_how(question), wording("report.say", fact=question.fact)))),
        )
        for question in asked
    ]
    yield from _section(wording("report.find_out"), items, numbered=True)
    if more := len(advice.ask_next) - len(asked):
        yield Paragraph(wording("report.further", n=more))
    if asked and advice.certainty is None:
        yield Paragraph(wording("report.next_certain"))


def _how(question: Question) -> str:
    return wording("report.how", why=question.why, how=question.find_out)


def _referrals(referrals: Iterable[Referred]) -> Iterator[Block]:
    items = [wording("report.ask_one", who=each.who, tell=each.tell) for each in referrals]
    yield from _section(wording("report.also_ask"), items)


def standings_table(advice: Advice) -> Table:
    """Every finish with its points and where it stands."""
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
    return Table(head, rows, frozenset({0, 2}), (0, 3, 0, 5))


def _all_finishes(advice: Advice) -> Iterator[Block]:
    yield Heading(wording("report.all"))
    yield standings_table(advice)


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
