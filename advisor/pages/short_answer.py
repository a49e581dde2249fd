"""The answer on one screen: what, why, what speaks against it, what comes first, whether it fits, and the dangers.

Every hazard that concerns the floor stands on it: in full where it is special to this floor and known to be there
(`Hazard.in_full`), else by its name. Everything else is in the full answer (`advice_report`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from advisor.answer.apart import Told, drawbacks, nearest, reasons
from advisor.model.advice import Advice, Turning
from advisor.model.standing import FinishStanding, Hazard, Reason, ToDo
from advisor.pages.blocks import Block, Heading, Item, Notice, Page, Paragraph, Term, Terms
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, inside, sentence

MOST_REASONS, MOST_AGAINST, MOST_EXPLAINED, MOST_NEAREST = 3, 2, 2, 3


def short_page(advice: Advice) -> Page:
    """The answer on one screen."""
    return Page(advice.floor or wording("report.title"), tuple(_blocks(advice)))


def _blocks(advice: Advice) -> Iterator[Block]:
    yield Heading(advice.floor or wording("report.title"), 1)
    if asked := advice.answer.asked:
        yield Paragraph(asked.sentence, strong=True)
    for stop in advice.stops:
        reasons = tuple(f"{first_sentence(each.because)}." for each in stop.reasons[:1])
        yield Notice(wording("report.stop", who=stop.who), (Item(stop.tell, reasons),))
    if not advice.stops:
        yield Paragraph(advice.opening, strong=True)
    yield Terms(tuple(_terms(advice)))


def _terms(advice: Advice) -> Iterator[Term]:
    stopped = bool(advice.stops or advice.holds)
    yield from _term("aside", (wording("short.set_aside", says=e.says, test=e.test) for e in advice.set_aside))
    yield from _wrong(advice)
    if advice.stops:
        named = advice.leading if not any(each.beyond for each in advice.stops) else None
        after = [wording("short.after_stop", name=named.name)] if named else []
        yield from _term("first", [" ".join([wording("report.call_first"), *after])])
    elif advice.holds:
        held = (wording("short.hold", what=e.says, why=_short(e.reasons)) for e in advice.holds if e.kind != "ask")
        yield from _term("first", held, numbered=True)
    elif advice.leading:
        yield from _choice(advice)
    else:
        near = nearest(advice, MOST_NEAREST)
        yield from _term("nearest", (_nearest(each) for each in near))
    yield from _dangers(advice)
    if not stopped:
        yield from _rival(advice)
    if not advice.stops:
        if advice.certainty:
            told = first_sentence(advice.certainty.says)
            yield from _term("settled", [" ".join([f"{told}.", *_turns(advice)])])
        yield from _term("ask", (wording("short.ask", ask=each.ask) for each in advice.ask_next[:1]))
        yield from _term(
            "also_ask", [f"{'; '.join(each.who for each in advice.referrals)}."] if advice.referrals else []
        )
    yield from _term("more", [" ".join(_footing(advice))])


def _wrong(advice: Advice) -> Iterator[Term]:
    """What went wrong before: the causes, those that can hurt somebody, and the look that tells them apart."""
    if wrong := advice.went_wrong:
        yield from _term("wrong", filter(None, (wrong.sentence, wrong.in_sight, wrong.look)))


def _term(name: str, items: Iterable[str], numbered: bool = False, strong: bool = False) -> Iterator[Term]:
    if some := tuple(items):
        yield Term(wording(f"short.margin.{name}"), some, numbered, strong)


def _choice(advice: Advice) -> Iterator[Term]:
    """Why this finish, what speaks against it, what comes first, and whether it fits."""
    assert advice.leading is not None
    told = reasons(advice, MOST_REASONS)
    why = [_reason(each, before) for each, before in zip(told, (None, *told), strict=False)]
    yield from _term("why", [*why, *weighed_words(advice)])
    against = drawbacks(advice.leading, MOST_AGAINST)
    yield from _term("against", (wording("short.reason", why=first_sentence(each.because)) for each in against))
    yield from _term("first", _to_dos(advice.leading.first), numbered=True)
    if advice.fit:
        yield from _term("cost", advice.fit.says[:1])
        yield from _term("days", advice.fit.says[1:2])
    else:
        yield from _term("cost", [wording("short.no_cost")])
    if advice.leading.by_sheet:
        yield from _term("sheet", [wording("short.sheet", name=advice.leading.by_sheet.product)])


def _reason(told: Told, before: Told | None) -> str:
    key = "short.both" if told.shared else "short.reason"
    return of_another(told, before) or wording(key, why=first_sentence(told.because))


def of_another(told: Told, before: Told | None) -> str:
    """A reason that speaks of another finish, as a sentence that names it; empty where it speaks of the leading one,
    or goes on about the finish of the one told before."""
    if before and told.against and told.against == before.against:
        return ""
    key, other = ("excluded", told.excluded) if told.excluded else ("against_other", told.against)
    given = {"finish": other, "clause": inside(told.because), "reason": first_sentence(told.because)}
    return sentence(wording(f"short.{key}", **given)) if other else ""


def _short(reasons: Iterable[Reason]) -> str:
    return next((f"{first_sentence(each.because)}." for each in reasons), "")


def weighed_words(advice: Advice) -> Iterator[str]:
    """What the customer said matters, and whether that alone turned the answer."""
    other = advice.standing(advice.leads_unweighed)
    leads = other.name if other and other.finish != advice.answer.leading else "same"
    by_importance = {
        importance: [label("criterion", each.criterion) for each in advice.weighed if each.importance == importance]
        for importance in ("high", "low")
    }
    told = [
        wording("short.matters", what=listed(some), n=len(some), importance=importance)
        for importance, some in by_importance.items()
        if some
    ]
    alone = [
        wording("short.alone", what=label("criterion", each.criterion), leads=other.name if other else "none")
        for each in advice.weighed
        if each.alone
        for other in [advice.standing(each.otherwise)]
    ]
    if told:
        yield " ".join([*told, *(alone or [wording("short.unweighed", leads=leads)])])


def _nearest(standing: FinishStanding) -> str:
    """A finish that is ruled out, by what, and by how many rules more."""
    first, *more = standing.ruled_out_by
    clause = inside(first_sentence(first.because))
    return sentence(wording("short.nearest", finish=standing.name, clause=clause, more=len(more)))


def _to_dos(first: Sequence[ToDo]) -> Iterator[str]:
    """What comes first, in order: what decides, the first of it with its reason; the rest of one kind together."""
    explained = [each for each in first if each.decides][:MOST_EXPLAINED]
    for each in explained:
        kind, what = wording(f"report.kind.{each.kind}"), label("need", each.need)
        yield wording("short.decides_for", kind=kind, what=what, why=_short(each.reasons))
    for (decides, kind), some in groupby(first, lambda each: (each.decides, each.kind)):
        if names := [label("need", each.need) for each in some if each not in explained]:
            key = "short.decides" if decides else "short.to_do"
            yield wording(key, kind=wording(f"report.kind.{kind}"), what="; ".join(names))


def _dangers(advice: Advice) -> Iterator[Term]:
    """What is special to this floor in full, the rest by name; before a professional has come there is no work yet."""
    full = [each for each in advice.concerning if each.in_full]
    if advice.stops:
        full = [each for each in full if each.floor]
    yield from _term("danger", (each.says for each in full), strong=True)
    named = [each for each in advice.concerning if each not in full]
    if advice.stops or advice.holds:
        told = [each.title for each in named if each.floor or each.severity == "danger" or not advice.stops]
        later = wording("short.later", hazards=", ".join(told), n=len(named) - len(told))
        yield from _term("later", [later] if named else [])
        return
    if perhaps := [each for each in named if each.hangs_on]:
        yield from _term("perhaps", [wording("short.perhaps", hazards="; ".join(map(_hangs, perhaps)))])
    if usual := [each.title for each in named if not each.hangs_on]:
        yield from _term("usual", [wording("short.usual", hazards=listed(usual))])


def _hangs(hazard: Hazard) -> str:
    return wording("short.hangs", question=label("fact", hazard.hangs_on[0]), hazard=hazard.title)


def _rival(advice: Advice) -> Iterator[Term]:
    """The runner-up, what it is better at, and which answer would put it first."""
    first, second = advice.leading, advice.standing(advice.answer.runner_up)
    if first is None or second is None:
        return
    gains = [label("criterion", each) for each in first.behind_on(second)]
    told = wording(
        "short.runner_up", finish=second.name, n=first.total - second.total, criteria=listed(gains) or "none"
    )
    yield from _term("runner_up", [" ".join([told, *_turns(advice, second.finish)])])


def _turns(advice: Advice, to: str = "") -> Iterator[str]:
    """The likeliest answers that turn it: to the runner-up, or to anything else but the same finish."""
    turns: tuple[Turning, ...] = advice.certainty.turns if advice.certainty else ()
    held = bool(advice.stops or advice.holds)
    told = () if held else (advice.answer.leading, advice.answer.runner_up)
    mine = [each for each in turns if (each.finish == to if to else each.finish not in told)]
    yield from (each.says for each in mine[:1])


def _footing(advice: Advice) -> Iterator[str]:
    yield wording("short.more_of_a_stop" if advice.stops else "short.more")
    mark = advice.rule_base
    laid = listed((*(each.name for each in mark.overlays), *mark.products)) or "none"
    yield wording("short.mark", date=advice.date, version=mark.version, mark=mark.fingerprint, overlays=laid)
    yield from mark.safety
