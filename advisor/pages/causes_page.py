"""What went wrong with a floor, as pages: the answer for whoever asks, and what was seen for everybody concerned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.asking.cause_forms import CauseFound, Causes, Look, RemedyFound
from advisor.asking.causes import dangerous, outcomes_told
from advisor.model.advice import Reason, WentWrong
from advisor.model.knowledge import RuleBase
from advisor.pages.blocks import Block, Heading, Item, Listing, Notice, Page, Paragraph, Table
from explanations.wording import label, listed, wording
from explanations.words import first_sentence

MOST_TOLD = 4  # causes
MOST_FOR, MOST_AGAINST = 2, 1  # reasons of a cause
MOST_LOOKS = 2
MOST_REMEDIES = 2
MOST_EXCLUDED = 3
MOST_FINISHES = 4
SETTLE = ("photos", "dates", "products", "weather", "tests", "samples", "agreed")


def causes_page(base: RuleBase, found: Causes) -> Page:
    """The answer in two screens."""
    title = wording("causes.title", floor=found.floor)
    return Page(title, (Heading(title, 1), *causes_blocks(base, found), Paragraph(found.deference)))


def causes_blocks(base: RuleBase, found: Causes) -> Iterator[Block]:
    """All that is told of the causes, without the page around it."""
    for stop in found.stops:
        yield Notice(wording("report.stop", who=stop.who), (Item(stop.tell),))
    yield Paragraph(found.sentence, strong=True)
    yield from _complaints(base, found)
    told = found.told("likely", "possible")
    shown = told[:MOST_TOLD]
    for fit in ("likely", "possible"):
        if some := [each for each in shown if each.fit == fit]:
            yield Heading(wording(f"causes.fit.{fit}"))
            yield Listing(tuple(_cause(each) for each in some))
    yield from _dangers(base, found)
    if found.looks:
        yield Heading(wording("causes.looks"))
        yield Listing(tuple(_look(base, each) for each in found.looks[:MOST_LOOKS]), numbered=True)
    for remedy in found.remedies[:MOST_REMEDIES]:
        yield Heading(wording("causes.remedy", name=base.causes[remedy.cause].name))
        yield Listing(tuple(_remedy(base, remedy)))
    if found.not_now:
        yield Notice(wording("causes.not_now"), found.not_now)
    if excluded := found.told("excluded"):
        yield Heading(wording("causes.fit.excluded"))
        yield Listing(tuple(_excluded(excluded)))


def short_blocks(found: WentWrong) -> Iterator[Block]:
    """Its part in the advice on a finish: the causes, the first look, what not to do now."""
    yield Heading(wording("causes.went_wrong"))
    yield Paragraph(found.sentence)
    if found.look:
        yield Listing((Item(found.look, found.outcomes),))
    if found.dangers:
        yield Notice(wording("causes.danger_title"), found.dangers)
    if found.not_now:
        yield Listing(found.not_now)
    yield Paragraph(wording("causes.part_of_advice"))


def handover_page(base: RuleBase, found: Causes) -> Page:
    """What was seen, when, what was measured, what is due: for the customer, and without blame for maker or crew."""
    title = wording("causes.handover.title")
    return Page(title, tuple(_handover(base, found, title)))


def _handover(base: RuleBase, found: Causes, title: str) -> Iterator[Block]:
    yield Heading(title, 1)
    yield Paragraph(wording("causes.handover.for", floor=found.floor, date=found.date))
    yield Paragraph(wording("causes.handover.purpose"))
    for stop in found.stops:
        yield Notice(wording("report.stop", who=stop.who), (Item(stop.tell),))
    yield from _complaints(base, found)
    yield Heading(wording("causes.handover.seen"))
    yield Table((wording("causes.handover.fact"), wording("causes.handover.value")), found.seen)
    if told := found.told("likely", "possible")[:MOST_TOLD]:
        yield Heading(wording("causes.handover.causes"))
        yield Listing(tuple(_line(each) for each in told))
    yield from _dangers(base, found)
    yield Heading(wording("causes.handover.due"))
    if found.looks:
        yield Listing(tuple(_look(base, each) for each in found.looks), numbered=True)
    else:
        yield Paragraph(wording("causes.handover.none_due"))
    if found.not_now:
        yield Notice(wording("causes.handover.keep"), found.not_now)
    yield Heading(wording("causes.handover.settle"))
    yield Listing(tuple(wording(f"causes.handover.settle_items.{each}") for each in SETTLE))
    yield Paragraph(found.deference)


def _complaints(base: RuleBase, found: Causes) -> Iterator[Block]:
    if not found.complaints:
        return
    yield Heading(wording("causes.what"))
    items = []
    for each in found.complaints:
        causes = listed(_names(base, each.explained_by[:MOST_TOLD]), "or")
        key = "causes.explained" if causes else "causes.unexplained"
        items.append(wording(key, complaint=each.says, causes=causes))
    yield Listing(tuple(items))
    if len(found.complaints) > 1 and found.together:
        first, *others = (listed(_names(base, some)) for some in found.together)
        yield Paragraph(wording("causes.together", n=len(found.together), first=first, others=listed(others, "or")))


def _names(base: RuleBase, causes: Iterable[str]) -> list[str]:
    return [base.causes[each].name for each in causes]


def _cause(found: CauseFound) -> Item:
    speaks = [_reason("for", each) for each in found.speaks_for[:MOST_FOR]]
    speaks += [_reason("against", each) for each in found.speaks_against[:MOST_AGAINST]]
    return Item(wording("causes.cause", name=found.name, points=found.points), tuple(speaks))


def _reason(way: str, reason: Reason) -> str:
    return wording(f"causes.{way}", why=first_sentence(reason.because), rule=reason.rule)


def _dangers(base: RuleBase, found: Causes) -> Iterator[Block]:
    if dangers := dangerous(base, found):
        items = tuple(wording("causes.danger", name=each.name, danger=each.danger) for each in dangers)
        yield Notice(wording("causes.danger_title"), items)


def _look(base: RuleBase, look: Look) -> Item:
    """The look, how it is done, and what each answer would mean."""
    names = {name: cause.name for name, cause in base.causes.items()}
    below = (wording("causes.how", how=look.find_out), *outcomes_told(names, look))
    return Item(wording("causes.look", ask=look.ask, effort=look.effort, fact=look.fact), below)


def _remedy(base: RuleBase, remedy: RemedyFound) -> Iterator[str]:
    for part in ("take_off", "mend", "spot"):
        yield wording(f"causes.{part}", says=getattr(remedy, part))
    if remedy.call:
        yield wording("causes.call", who=remedy.call)
    for part in ("stand", "fail_again"):
        finishes = [base.finishes[each].name for each in getattr(remedy, part)]
        if len(finishes) > MOST_FINISHES:
            more = wording("causes.and_more", n=len(finishes) - MOST_FINISHES)
            yield wording(f"causes.{part}", finishes=f"{', '.join(finishes[:MOST_FINISHES])} {more}")
        elif finishes:
            yield wording(f"causes.{part}", finishes=listed(finishes))


def _excluded(excluded: tuple[CauseFound, ...]) -> Iterator[str]:
    for each in excluded[:MOST_EXCLUDED]:
        reason = each.excluded_by[0]
        yield wording("causes.excluded_line", name=each.name, why=reason.because, rule=reason.rule)
    if len(excluded) > MOST_EXCLUDED:
        yield wording("causes.more_excluded", n=len(excluded) - MOST_EXCLUDED)


def _line(found: CauseFound) -> str:
    fit = label("fit", found.fit)
    if not found.speaks_for:
        return wording("causes.handover.line_bare", name=found.name, fit=fit)
    return wording(
        "causes.handover.line",
        name=found.name,
        fit=fit,
        why=listed(first_sentence(each.because) for each in found.speaks_for[:MOST_FOR]),
    )
