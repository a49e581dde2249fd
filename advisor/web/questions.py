"""A question as a page, and the answer that is sent back: the same for every way that asks."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from functools import partial

from advisor.asking.answer_words import step_told
from advisor.asking.interview import OPENING, Interview, Step
from advisor.asking.outlook_words import turns_told
from advisor.asking.screens import Screen, screen_of
from advisor.errors import BadCase, BadRequest, Fault
from advisor.model.entry import UNKNOWN
from advisor.model.reader import reading_of
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.rendering import address, drawing_of, page
from advisor.web.visit import LONGEST_ANSWER, Visit, case_of, going_on, pack, unpack
from explanations.reading import measuring
from explanations.wording import label, wording

DONT_KNOW, NONE = "dont know", "none"


@dataclass(frozen=True)
class Said:
    """One thing that was understood, or left open."""

    fact: str
    name: str
    value: str  # empty where it was left open


def question_routes(way: str) -> tuple[Route, ...]:
    """The routes of a way that asks: to answer, to answer anew, and what was understood.

    Args:
        way: its name, and its address without the stroke.
    """
    return (
        Route(f"/{way}", partial(take, way), "POST"),
        Route(f"/{way}/ask", partial(ask_again, way)),
        Route(f"/{way}/said", partial(said_so_far, way)),
    )


def ask_again(way: str, desk: Desk, asked: Asked) -> Reply:
    """A question that the visitor chose: to answer it anew, or one that was not asked."""
    visit = unpack(asked.one("case"), desk.base)
    with going_on(desk.reasoner, visit, desk.today) as (held, _), reading_for(desk, held):
        screen = screen_of(held, known_question(desk, asked.one("asked")))
        return question_page(way, desk, visit, held, screen, chosen=True)


def take(way: str, desk: Desk, asked: Asked) -> Reply:
    """Take an answer, and go on; what does not fit is said beside the question."""
    visit = unpack(asked.one("case"), desk.base)
    wanted = known_question(desk, asked.one("asked"))
    typed = typed_answer(desk, asked, wanted)
    faults: tuple[Fault, ...] = ()
    if not typed:
        faults = (Fault("", wording("web.question.nothing_said")),)
    elif len(typed) > LONGEST_ANSWER:
        faults = (Fault("", wording("web.question.too_long", most=LONGEST_ANSWER)),)
    else:
        after = visit.answered(wanted, typed)
        try:
            case_of(desk.base, after, desk.today)
            return on_to(address(f"/{way}", case=pack(after, desk.base)))
        except BadCase as error:
            faults = error.faults
    with going_on(desk.reasoner, visit, desk.today) as (held, _), reading_for(desk, held):
        screen = screen_of(held, wanted)
        return question_page(way, desk, visit, held, screen, None, bool(asked.one("chosen")), faults, asked)


def known_question(desk: Desk, name: str) -> str:
    """The name of a question, if there is one of that name.

    Raises:
        BadRequest: there is none.
    """
    kind = desk.base.facts.get(name)
    if not (name.removeprefix(OPENING) in desk.base.conversation if name.startswith(OPENING) else kind and kind.ask):
        raise BadRequest([Fault("", wording("interview.no_question", name=name[:60]))])
    return name


def typed_answer(desk: Desk, asked: Asked, wanted: str) -> str:
    """The answer that a form sent, as somebody would have typed it; empty if nothing was said."""
    if asked.one("dont_know"):
        return DONT_KNOW
    opening = desk.base.conversation.get(wanted.removeprefix(OPENING)) if wanted.startswith(OPENING) else None
    if opening and opening.facts:
        told = ((name, " ".join(asked.one(f"fact_{name}").split())) for name in opening.facts)
        return "; ".join(f"{name}={text}" for name, text in told if text)
    if opening and opening.several:
        return ", ".join(asked.all("picked")) or NONE
    text = asked.one("answer").strip()
    for word, name in (("on", "on"), ("by", "by")):
        if text and (more := asked.one(name).strip()):
            text += f" {word} {more}"
    return text


def question_page(
    way: str,
    desk: Desk,
    visit: Visit,
    held: Interview,
    screen: Screen,
    step: Step | None = None,
    chosen: bool = False,
    faults: tuple[Fault, ...] = (),
    sent: Asked | None = None,
) -> Reply:
    """One question.

    Args:
        way: whose address the answer goes to.
        desk: the rule base made ready.
        visit: what was said before.
        held: the same as an interview.
        screen: the question.
        step: what the last answer changed.
        chosen: whether the visitor chose it, and may leave it.
        faults: what was wrong with the answer sent.
        sent: that answer, to be mended.
    """
    base = desk.base
    left = [name for name in base.conversation if OPENING + name not in held.asked]
    brief = replace(step, fell=(), came_back=()) if step else None
    other = base.facts.get(screen.other)
    return page(
        "question.html",
        422 if faults else 200,
        way=way,
        case=pack(visit, base),
        before=before(way, desk, visit),
        begun=visit.begun,
        screen=screen,
        facts=base.facts,
        finishes=[base.finishes[each].name for each in other.choices if each in base.finishes] if other else [],
        drawing=next(filter(None, map(drawing_of, (screen.asked, *screen.fields))), ""),
        chosen=chosen,
        faults=faults,
        sent=sent or Asked(""),
        done=len(visit.answers),
        of=len(visit.answers) + len(left),
        changed=list(step_told(base, brief)) if brief else [],
        so_far=so_far(held) if visit.begun else "",
    )


def before(way: str, desk: Desk, visit: Visit) -> str:
    """The address of the question answered last; empty if none was answered."""
    return address(f"/{way}", case=pack(visit.before, desk.base)) if visit.answers else ""


def so_far(held: Interview) -> str:
    """What stands, and what the answer is likely to be."""
    likely = "; ".join(turns_told(held.base, held.outlook.turns[:2]))
    return wording("web.question.so_far", left=held.left, of=len(held.base.finishes), likely=likely)


def said_so_far(way: str, desk: Desk, asked: Asked) -> Reply:
    """What was understood; each of it can be answered anew."""
    visit = unpack(asked.one("case"), desk.base)
    with going_on(desk.reasoner, visit, desk.today) as (held, _), reading_for(desk, held):
        return page("said.html", way=way, case=pack(visit, desk.base), said=understood(held), floor=visit.floor)


def understood(held: Interview) -> list[Said]:
    """What was said of each fact; what was left open last."""
    told = []
    for name, statement in held.case.stated.items():
        if statement.text.lower() == UNKNOWN:
            told.append(Said(name, label("fact", name), ""))
            continue
        read = held.case.outdated.get(name) or held.case.as_read[name]
        value = label("value", read.choice) if held.base.facts[name].choices else read.shown
        told.append(Said(name, label("fact", name), f"{value} ({statement.source})" if statement.source else value))
    return sorted(told, key=lambda each: not each.value)


def reading_for(desk: Desk, held: Interview) -> AbstractContextManager[None]:
    """Within it figures are written for whoever reads of this floor."""
    return measuring(reading_of(desk.base, held.case.facts))
