"""The answer on one screen: what, why, what speaks against it, what comes first, whether it fits, and the dangers.

Every hazard that concerns the floor stands on it: in full where it is special to this floor and known to be there
(`Hazard.in_full`), else by its name. Everything else is in the full answer (`advice_report`). Of several ways to tell
it the first that fits the screen is taken: what is left out last, and what never is, stands under `SHORTER`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, groupby
from typing import Any, Literal

from advisor.answer.apart import Told, drawbacks, nearest, reasons
from advisor.answer.kind_words import asking, outlook
from advisor.model.advice import Advice, Branch, Referred, Turning, Unused
from advisor.model.standing import Hazard, Reason, ToDo
from advisor.pages.blocks import Block, Heading, Item, Notice, Page, Paragraph, Term, Terms
from advisor.pages.reason_words import nearest_words, of_another, of_it, weighed_words
from advisor.pages.text import length
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, sentence

SCREEN, OF_A_STOP = 40, 20  # lines of 80 columns
MOST_REASONS, MOST_AGAINST, MOST_NEAREST = 3, 2, 3


@dataclass(frozen=True)
class Detail:
    """How much is told of what may be told shorter."""

    hanging: bool = True  # beside each danger of which nobody knows whether it is there, what to say
    look: bool = True  # what tells causes apart
    turns: bool = True  # beside the runner-up and how settled it is, the likeliest answer that turns it
    explained: int = 2  # needs that decide, with their reasons
    reasons: int = MOST_REASONS
    likely: bool = True  # causes that can hurt nobody, where a call comes first
    whole: bool = True  # dangers as in the full answer, else (causes by a word) what harms and what to do in a sentence
    tells: int = 1_000  # calls with what to tell them (always where everybody leaves); of the others who it is and why
    calls: int = 1_000  # calls with why; of the others who it is
    later: int = 1_000  # grave dangers of work that a call comes before, by name (those of the floor always)
    branches: bool = True  # of a question that holds the floor each answer's own, else the kind of answer where it ends
    weighed: bool = True  # what was said to matter, though the same finish would lead without it
    then: bool = True  # what comes first besides what decides, by name; else how many things
    apart: bool = True  # that no work begins before the call in a line of its own; and why a finish asked for or not
    mark: bool = True  # which rule base it was, and of which day
    doubts: Literal["decided", "said", "named"] = "decided"  # what is set aside: what decides, why, or what only


EVERYTHING = Detail()
# What is left out, one after the other, until the answer fits; never the answer, a call, a danger and what to do about
# it, what decides and comes first, the worst that speaks against it, or what it costs and takes.
LEFT_OUT: tuple[dict[str, Any], ...] = (
    {"hanging": False},
    {"explained": 1},
    {"reasons": 2},
    {"look": False},
    {"turns": False, "likely": False},
    {"whole": False},
    {"explained": 0, "tells": 1},
    {"tells": 0},
    {"doubts": "said"},
    {"reasons": 1, "calls": 1},
    {"doubts": "named"},
    {"branches": False, "weighed": False},
    {"calls": 0, "later": 12},
    {"apart": False},
    {"later": 6, "mark": False},
    {"later": 3},
    {"later": 0},
    {"then": False},
)
SHORTER = tuple(accumulate(LEFT_OUT, lambda detail, left: replace(detail, **left), initial=EVERYTHING))


def short_page(advice: Advice) -> Page:
    """The answer on one screen."""
    pages = (page_in(advice, detail) for detail in SHORTER)
    page = next(pages)
    while length(page) > (OF_A_STOP if advice.stops else SCREEN) and (shorter := next(pages, None)):
        page = shorter
    return page


def page_in(advice: Advice, detail: Detail) -> Page:
    """The answer told with this much of it."""
    return Page(advice.floor or wording("report.title"), tuple(_blocks(advice, detail)))


def _blocks(advice: Advice, detail: Detail) -> Iterator[Block]:
    yield Heading(advice.floor or wording("report.title"), 1)
    calls, about = tuple(_calls(advice.stops, detail)), tuple(_asked_about(advice, detail))
    yield from (*calls, *about) if any(each.leave for each in advice.stops) else (*about, *calls)
    if not advice.stops:
        yield Paragraph(advice.opening if detail.branches else _asking(advice) or advice.opening, strong=True)
    yield Terms(tuple(_terms(advice, detail)))


def _asking(advice: Advice) -> str:
    """The questions that hold the floor, and what kind of answer comes with those answers that leave none open."""
    asks = []
    for each in advice.answer.asks:
        ends = tuple(_in_a_word(advice, branch) for branch in each.branches if branch.kind != "ask first")
        asks.append(each.model_copy(update={"branches": ends}))
    held = {each.need: each.says for each in advice.holds}
    return asking(held, asks) if advice.answer.kind == "ask first" else ""


def _in_a_word(advice: Advice, branch: Branch) -> Branch:
    finish = advice.standing(branch.finish)
    word = sentence(f"{outlook(branch.kind, finish.name if finish else '')}.")
    return branch.model_copy(update={"sentence": min(branch.sentence, word, key=len)})


def _asked_about(advice: Advice, detail: Detail) -> Iterator[Block]:
    if asked := advice.answer.asked:
        yield Paragraph(asked.sentence if detail.apart else f"{first_sentence(asked.sentence)}.", strong=True)


def _calls(stops: Sequence[Referred], detail: Detail) -> Iterator[Notice]:
    """Whom to call before anything else, why, and what to tell them."""
    told = [each for place, each in enumerate(stops) if place < detail.tells or each.leave]
    more = [each for each in stops if each not in told]
    with_why = [wording("short.stop", who=each.who, why=_short(each.reasons)) for each in more[: detail.calls]]
    rest = "; ".join(each.brief for each in more[detail.calls :])
    also = [wording("short.stop_too", rest=rest)] if rest and told and not detail.apart else []
    for stop in told:
        below = tuple(filter(None, [_short(stop.reasons) if detail.calls else ""]))
        yield Notice(
            wording("report.stop", who=stop.who), (Item(stop.tell, below), *(also if stop is told[-1] else ()))
        )
    if more and not also:
        title = "stop_also" if told else "stop_only" if detail.apart else "stop_first"
        yield Notice(wording(f"short.{title}"), (*with_why, *([f"{rest}."] if rest else [])))


def _terms(advice: Advice, detail: Detail) -> Iterator[Term]:
    stopped = bool(advice.stops or advice.holds)
    yield from _term("aside", _doubts(advice.set_aside, detail))
    if wrong := advice.went_wrong:
        causes = wrong.sentence if detail.likely or not advice.stops else ""
        look = wording("short.look", look=label("fact", wrong.look_at)) if wrong.look and detail.look else ""
        in_sight = wrong.in_sight if detail.whole else wrong.in_sight_briefly
        said = " ".join(filter(None, (causes, in_sight, look)))
        yield from _term("wrong", [said] if said else [])
    if advice.stops:
        named = advice.leading if not any(each.beyond for each in advice.stops) else None
        before = [wording("report.call_first")] if detail.apart else []
        after = [wording("short.after_stop", name=named.name)] if named else []
        yield from _term("first", [" ".join([*before, *after])] if [*before, *after] else [])
    elif advice.holds:
        held = (wording("short.hold", what=e.says, why=_short(e.reasons)) for e in advice.holds if e.kind != "ask")
        yield from _term("first", held, numbered=True)
    elif advice.leading:
        yield from _choice(advice, detail)
    else:
        near = nearest(advice, MOST_NEAREST)
        yield from _term("nearest", (nearest_words(each) for each in near))
    yield from _dangers(advice, detail)
    if not stopped:
        yield from _rival(advice, detail)
    if not advice.stops:
        if advice.certainty:
            told = first_sentence(advice.certainty.says)
            yield from _term("settled", [" ".join([f"{told}.", *_turns(advice, detail)])])
        yield from _term("ask", (wording("short.ask", ask=each.ask) for each in advice.ask_next[:1]))
        yield from _term(
            "also_ask", [f"{'; '.join(each.brief for each in advice.referrals)}."] if advice.referrals else []
        )
    yield from _term("more", [" ".join(_footing(advice, detail))])


def _term(name: str, items: Iterable[str], numbered: bool = False, strong: bool = False) -> Iterator[Term]:
    if some := tuple(items):
        yield Term(wording(f"short.margin.{name}"), some, numbered, strong)


def _doubts(aside: Sequence[Unused], detail: Detail) -> Iterator[str]:
    """What was stated and is not reasoned from, why, and what decides it."""
    if aside and detail.doubts == "named":
        named = dict.fromkeys(label("fact", fact) for each in aside for fact in each.facts)
        yield wording("short.doubted", facts=listed(named))
        return
    for each in aside:
        yield wording("short.set_aside", says=each.says, test=each.test if detail.doubts == "decided" else "none")


def _choice(advice: Advice, detail: Detail) -> Iterator[Term]:
    """Why this finish, what speaks against it, what comes first, and whether it fits."""
    assert advice.leading is not None
    told = reasons(advice, detail.reasons)
    why = [_reason(advice, told, place) for place in range(len(told))]
    bears = detail.weighed or any(each.alone for each in advice.weighed)
    yield from _term("why", [*why, *(weighed_words(advice) if bears else ())])
    against = drawbacks(advice.leading, MOST_AGAINST)
    yield from _term(
        "against", (wording("short.reason", why=of_it(each.because, advice.leading.name)) for each in against)
    )
    yield from _term("first", _to_dos(advice.leading.first, detail), numbered=True)
    if advice.fit:
        yield from _term("cost", advice.fit.beside_it[:1])
        yield from _term("days", advice.fit.beside_it[1:])
    else:
        yield from _term("cost", [wording("short.no_cost")])
    if advice.leading.by_sheet:
        yield from _term("sheet", [wording("short.sheet", name=advice.leading.by_sheet.product)])


def _reason(advice: Advice, told: Sequence[Told], place: int) -> str:
    assert advice.leading is not None
    each, before = told[place], told[:place]
    if other := of_another(each, before[-1] if before else None):
        return other
    named = any(some.excluded or some.against for some in before)  # then "it" might be that one
    name = each.against or ("" if named else advice.leading.name)
    return wording("short.both" if each.shared else "short.reason", why=of_it(each.because, name))


def _short(reasons: Iterable[Reason]) -> str:
    return next((f"{first_sentence(each.because)}." for each in reasons), "")


def _to_dos(first: Sequence[ToDo], detail: Detail) -> Iterator[str]:
    """What comes first, in order: what decides, the first of it with its reason; the rest of one kind together."""
    explained = [each for each in first if each.decides][: detail.explained]
    for each in explained:
        kind, what = wording(f"report.kind.{each.kind}"), label("need", each.need)
        yield wording("short.decides_for", kind=kind, what=what, why=_short(each.reasons))
    named = first if detail.then else [each for each in first if each.decides]
    for (decides, kind), some in groupby(named, lambda each: (each.decides, each.kind)):
        if names := [label("need", each.need) for each in some if each not in explained]:
            key = "short.decides" if decides else "short.to_do"
            yield wording(key, kind=wording(f"report.kind.{kind}"), what="; ".join(names))
    if more := len(first) - len(named):
        yield wording("short.then", n=more)


def _dangers(advice: Advice, detail: Detail) -> Iterator[Term]:
    """What is special to this floor in full, the rest by name; before a professional has come there is no work yet."""
    full = [each for each in advice.concerning if each.in_full]
    if advice.stops:
        full = [each for each in full if each.floor]
    yield from _term("danger", (each.says if detail.whole else each.brief for each in full), strong=True)
    named = [each for each in advice.concerning if each not in full]
    if advice.stops or advice.holds:
        grave = [each for each in named if each.severity == "danger" and not each.floor][: detail.later]
        told = [each.title for each in named if each.floor or each in grave or not advice.stops]
        later = wording("short.later", hazards=", ".join(told) or "none", n=len(named) - len(told))
        yield from _term("later", [later] if named else [])
        return
    if perhaps := [each for each in named if each.hangs_on]:
        told = [_hangs(each) if detail.hanging else each.title for each in perhaps]
        yield from _term("perhaps", [wording("short.perhaps", hazards="; ".join(told))])
    if usual := [each.title for each in named if not each.hangs_on]:
        yield from _term("usual", [wording("short.usual", hazards=listed(usual))])


def _hangs(hazard: Hazard) -> str:
    return wording("short.hangs", question=label("fact", hazard.hangs_on[0]), hazard=hazard.title)


def _rival(advice: Advice, detail: Detail) -> Iterator[Term]:
    """The runner-up, what it is better at, and which answer would put it first."""
    first, second = advice.leading, advice.standing(advice.answer.runner_up)
    if first is None or second is None:
        return
    gains = [label("criterion", each) for each in first.behind_on(second)]
    told = wording(
        "short.runner_up", finish=second.name, n=first.total - second.total, criteria=listed(gains) or "none"
    )
    yield from _term("runner_up", [" ".join([told, *_turns(advice, detail, second.finish)])])


def _turns(advice: Advice, detail: Detail, to: str = "") -> Iterator[str]:
    """The likeliest answers that turn it: to the runner-up, or to anything else but the same finish."""
    turns: tuple[Turning, ...] = advice.certainty.turns if advice.certainty and detail.turns else ()
    held = bool(advice.stops or advice.holds)
    told = () if held else (advice.answer.leading, advice.answer.runner_up)
    mine = [each for each in turns if (each.finish == to if to else each.finish not in told)]
    yield from (each.says for each in mine[:1])


def _footing(advice: Advice, detail: Detail) -> Iterator[str]:
    yield wording("short.more_of_a_stop" if advice.stops else "short.more")
    mark = advice.rule_base
    laid = listed((*(each.name for each in mark.overlays), *mark.products))
    if detail.mark or laid:
        given = {"date": advice.date, "version": mark.version, "mark": mark.fingerprint, "overlays": laid or "none"}
        yield wording("short.mark", **given)
    yield from mark.safety
