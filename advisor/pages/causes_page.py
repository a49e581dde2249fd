"""What went wrong with a floor, as pages: the answer for whoever asks, and what was seen for everybody concerned.

The answer keeps to two screens: of several ways to tell it the first that fits. Stops and dangers stand in all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from advisor.asking.cause_forms import CauseFound, Causes, Look, RemedyFound
from advisor.asking.went_wrong import dangerous, outcomes_told
from advisor.model.advice import WentWrong
from advisor.model.knowledge import RuleBase
from advisor.model.standing import Hazard, Reason
from advisor.pages.blocks import Block, Heading, Item, Listing, Notice, Page, Paragraph, Table
from advisor.pages.text import length
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, sentence

TWO_SCREENS = 80  # lines: two terminals of 80 columns by 40 lines
MOST_TOLD = 4  # causes, where everybody concerned reads it
MOST_FOR, MOST_AGAINST = 2, 1  # reasons of a cause there
MOST_ALSO = 2  # causes named without more
MOST_FINISHES = 4
BY_ITSELF = ("complaint", "now_and_then", "usual")  # topics of rules that need no sign but the complaint
EVERYTHING = 1_000
PICKED_UP = ("photos", "samples")  # what of that has pieces picked up
SETTLE = ("photos", "dates", "products", "weather", "tests", "samples", "agreed")


@dataclass(frozen=True)
class Detail:
    """How much is told, at most."""

    causes: int
    speaks_for: int  # reasons of a cause
    speaks_against: int
    looks: int
    outcomes: int  # lines of a look
    remedies: int
    excluded: int
    not_now: int = EVERYTHING  # those of the first causes and of dangers stand first


FULL = Detail(*[EVERYTHING] * 7)
SHORTER = (
    Detail(4, 2, 1, 2, 5, 2, 3),
    Detail(4, 1, 1, 2, 5, 2, 0),
    Detail(4, 1, 1, 2, 5, 1, 0),
    Detail(3, 1, 1, 1, 5, 1, 0),
    Detail(3, 1, 0, 1, 4, 1, 0),
    Detail(2, 0, 0, 1, 3, 1, 0),
    Detail(2, 0, 0, 1, 3, 0, 0),
    Detail(1, 0, 0, 1, 1, 0, 0, not_now=8),
)


def causes_page(base: RuleBase, found: Causes, full: bool = False) -> Page:
    """The answer: in two screens, or in full."""
    pages = (_causes_page(base, found, detail) for detail in ((FULL,) if full else SHORTER))
    page = next(pages)
    while not full and length(page) > TWO_SCREENS and (shorter := next(pages, None)):
        page = shorter
    return page


def _causes_page(base: RuleBase, found: Causes, detail: Detail) -> Page:
    title = wording("causes.title", floor=found.floor)
    return Page(title, (Heading(title, 1), *_causes_blocks(base, found, detail)))


def _causes_blocks(base: RuleBase, found: Causes, detail: Detail) -> Iterator[Block]:
    for stop in found.stops:
        yield Notice(wording("report.stop", who=stop.who), (Item(stop.tell),))
    yield Paragraph(found.sentence, strong=True)
    yield from _complaints(base, found, detail.causes)
    told = found.told("likely", "possible")
    for fit in ("likely", "possible"):
        if some := [each for each in told[: detail.causes] if each.fit == fit]:
            yield Heading(wording(f"causes.fit.{fit}"))
            yield Listing(tuple(_cause(each, detail) for each in some))
    if less := [each.name for each in told[detail.causes :]]:
        more = len(less) - MOST_ALSO
        yield Paragraph(wording("causes.fit_less", causes=", ".join(less[:MOST_ALSO]), n=max(more, 0)))
    yield from _dangers(found)
    if found.complaints:
        yield Heading(wording("causes.looks"))
    if found.looks:
        yield Listing(tuple(_look(base, each, detail.outcomes) for each in found.looks[: detail.looks]), numbered=True)
    elif found.complaints and not found.waiting:
        yield Paragraph(wording("causes.no_look_leave" if _leave(found) else "causes.no_look"))
    yield from _waiting(found)
    for remedy in found.remedies[: detail.remedies]:
        yield Heading(wording("causes.remedy", name=base.causes[remedy.cause].name))
        yield Listing(tuple(_remedy(base, remedy, detail)))
    if found.not_now:
        yield Notice(wording("causes.not_now"), found.not_now[: detail.not_now])
    if excluded := found.told("excluded")[: detail.excluded]:
        yield Heading(wording("causes.fit.excluded"))
        yield Listing(tuple(_excluded(found, excluded)))
    yield from _footing(found, detail)


def _footing(found: Causes, detail: Detail) -> Iterator[Block]:
    mark = found.rule_base
    laid = listed((*(each.name for each in mark.overlays), *mark.products)) or "none"
    told = wording("short.mark", date=found.date, version=mark.version, mark=mark.fingerprint, overlays=laid)
    lead = found.deference if detail == FULL else wording("causes.more")
    yield Paragraph(" ".join((lead, told, *mark.safety)))


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
    key = "causes.handover.for" if found.floor else "causes.handover.for_unnamed"
    yield Paragraph(wording(key, floor=found.floor, date=found.date))
    yield Paragraph(wording("causes.handover.purpose"))
    for stop in found.stops:
        yield Notice(wording("report.stop", who=stop.who), (Item(stop.tell),))
    yield from _complaints(base, found, MOST_TOLD)
    yield Heading(wording("causes.handover.seen"))
    yield Table((wording("causes.handover.fact"), wording("causes.handover.value")), found.seen)
    if told := found.told("likely", "possible")[:MOST_TOLD]:
        yield Heading(wording("causes.handover.causes"))
        yield Listing(tuple(_line(each) for each in told))
    yield from _dangers(found)
    yield Heading(wording("causes.handover.due"))
    due: list[str | Item] = [*found.first]
    due += [_look(base, each, FULL.outcomes, "causes.handover.look") for each in found.looks]
    due += found.due
    if due:
        yield Listing(tuple(due), numbered=True)
        yield from _waiting(found)
        if harms := tuple(
            sentence(wording("causes.harm", title=each.title, says=each.brief)) for each in _special(found.hazards)
        ):
            yield Notice(wording("causes.handover.harms"), harms)
    else:
        yield Paragraph(wording("causes.no_look_leave" if _leave(found) else "causes.handover.none_due"))
    if found.not_now:
        yield Notice(wording("causes.handover.keep"), found.not_now)
    yield Heading(wording("causes.handover.settle"))
    yield Listing(tuple(_to_settle(each, bool(found.first)) for each in SETTLE))
    yield Paragraph(" ".join((found.deference, *found.rule_base.safety)))


def _complaints(base: RuleBase, found: Causes, most: int) -> Iterator[Block]:
    """What went wrong, and what explains it."""
    if not found.complaints:
        return
    yield Heading(wording("causes.what"))
    alike: dict[tuple[str, ...], list[str]] = {}
    for each in found.complaints:
        alike.setdefault(each.explained_by[:most], []).append(each.says)
    items = []
    for causes, complaints in alike.items():
        key = "causes.explained" if causes else "causes.unexplained"
        items.append(wording(key, complaint=listed(complaints), causes=listed(_names(base, causes), "or")))
    yield Listing(tuple(items))
    if len(found.complaints) > 1 and found.together:
        together = found.together[:most]
        first, *others = (listed(_names(base, some)) for some in together)
        but = listed(each.says for each in found.complaints if not each.explained_by) or "none"
        yield Paragraph(wording("causes.together", n=len(together), first=first, others=listed(others, "or"), but=but))


def _to_settle(item: str, untouched: bool) -> str:
    """What a settlement needs to know; where nothing may be touched, without what is picked up for it."""
    key = f"{item}_untouched" if untouched and item in PICKED_UP else item
    return wording(f"causes.handover.settle_items.{key}")


def _waiting(found: Causes) -> Iterator[Block]:
    """The looks that wait for what comes first, and what may clear it sooner."""
    told = []
    if found.waiting:
        told.append(wording("causes.waits", looks=listed(label("fact", each) for each in found.waiting)))
    if found.clearing:
        facts = listed((label("fact", each) for each in found.clearing), "or")
        told.append(wording("causes.waits_clears", facts=facts))
    if told:
        yield Paragraph(" ".join(told))


def _special(hazards: Iterable[Hazard]) -> list[Hazard]:
    """Those that do not come with every such work."""
    return [each for each in hazards if each.in_full or each.hangs_on]


def _leave(found: Causes) -> bool:
    return any(each.leave for each in found.stops)


def _names(base: RuleBase, causes: Iterable[str]) -> list[str]:
    return [base.causes[each].name for each in causes]


def _cause(found: CauseFound, detail: Detail) -> Item:
    for_it = found.speaks_for if detail == FULL else _telling(found.speaks_for) or found.speaks_for
    speaks = [_reason("for", each, detail) for each in for_it[: detail.speaks_for]]
    speaks += [_reason("against", each, detail) for each in found.speaks_against[: detail.speaks_against]]
    return Item(wording("causes.cause", name=found.name, points=found.points), tuple(speaks))


def _reason(way: str, reason: Reason, detail: Detail) -> str:
    if detail == FULL:
        return wording(f"causes.{way}", why=reason.because, rule=reason.rule)
    return wording(f"causes.{way}", why=first_sentence(reason.because), rule="none")


def _dangers(found: Causes) -> Iterator[Block]:
    """Who may be hurt by what; causes with the same danger are told together."""
    together: dict[str, list[str]] = {}
    for each in dangerous(found):
        together.setdefault(each.danger, []).append(each.name)
    if together:
        items = (wording("causes.danger", name=listed(names, "or"), danger=each) for each, names in together.items())
        yield Notice(wording("causes.danger_title"), tuple(items))


def _look(base: RuleBase, look: Look, most: int, told: str = "causes.look") -> Item:
    """The look, how it is done, and what each answer would mean, the likeliest first."""
    names = {name: cause.name for name, cause in base.causes.items()}
    below = [wording("causes.how", how=look.find_out), *outcomes_told(names, look)[:most]]
    if told == "causes.look" and (say := wording("causes.say", fact=look.fact)):
        below.append(say)
    return Item(wording(told, ask=look.ask, effort=look.effort), tuple(below))


def _remedy(base: RuleBase, remedy: RemedyFound, detail: Detail) -> Iterator[str]:
    yield from (wording("causes.first", says=each) for each in remedy.first)
    yield from (wording("causes.due", says=each) for each in remedy.due)
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
    told = [each for each in remedy.hazards if detail == FULL or each.in_full]
    for each in told:
        yield sentence(wording("causes.harm", title=each.title, says=each.says if detail == FULL else each.brief))
    if named := [each.title for each in remedy.hazards if each not in told]:
        yield wording("causes.harms", titles=", ".join(named))


def _excluded(found: Causes, excluded: tuple[CauseFound, ...]) -> Iterator[str]:
    for each in excluded:
        reason = each.excluded_by[0]
        yield wording("causes.excluded_line", name=each.name, why=reason.because, rule=reason.rule)
    if more := len(found.told("excluded")) - len(excluded):
        yield wording("causes.more_excluded", n=more)


def _line(found: CauseFound) -> Item:
    """A cause, and what was seen that speaks for and against it besides the complaint itself."""
    line = wording("causes.handover.line", name=found.name, fit=label("fit", found.fit))
    ways = (("for_it", found.speaks_for, MOST_FOR), ("against_it", found.speaks_against, MOST_AGAINST))
    told = (
        wording(f"causes.handover.{way}", why=first_sentence(each.because))
        for way, reasons, most in ways
        for each in _telling(reasons)[:most]
    )
    return Item(line, tuple(told))


def _telling(reasons: Iterable[Reason]) -> list[Reason]:
    """Those that say more than that the complaint is a sign of the cause, which is told beside the complaint."""
    return [each for each in reasons if each.rule.split(".")[0] not in BY_ITSELF]
