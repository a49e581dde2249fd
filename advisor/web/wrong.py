"""A floor that failed: the causes that fit, the look that decides, what to take off, mend and leave alone."""

from __future__ import annotations

from advisor.asking.causes import find_causes
from advisor.asking.screens import screen_of
from advisor.model.reader import reading_of
from advisor.pages.causes_page import causes_page, handover_page
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.questions import before, question_page, question_routes, reading_for
from advisor.web.rendering import body, page
from advisor.web.visit import case_of, going_on, pack, unpack
from explanations.reading import measuring

COMPLAINT = "trouble"
MOST_LOOKS = 3


def causes(desk: Desk, asked: Asked) -> Reply:
    """What went wrong, and the looks that tell it apart; first of all the complaint is asked for."""
    visit = unpack(asked.one("case"), desk.base)
    with going_on(desk.reasoner, visit, desk.today) as (held, _), reading_for(desk, held):
        complaints = held.memory[COMPLAINT], held.memory["coating_peeled"]
        if not any(each.known for each in complaints) and COMPLAINT not in held.case.stated:
            return question_page("wrong", desk, visit, held, screen_of(held, COMPLAINT))
        found = find_causes(desk.reasoner, held.case, desk.today)
        return page(
            "wrong/causes.html",
            way="wrong",
            case=pack(visit, desk.base),
            before=before("wrong", desk, visit),
            unsaid=not found.complaints,
            told=body(causes_page(desk.base, found)),
            looks=[each for each in found.looks if each.fact not in held.declined][:MOST_LOOKS],
        )


def handover(desk: Desk, asked: Asked) -> Reply:
    """The page for customer, maker and crew: what was seen, and what is still due."""
    visit = unpack(asked.one("case"), desk.base)
    case = case_of(desk.base, visit, desk.today)
    with measuring(reading_of(desk.base, case.facts)):
        told = body(handover_page(desk.base, find_causes(desk.reasoner, case, desk.today)))
    return page("wrong/handover.html", way="wrong", case=pack(visit, desk.base), told=told)


ROUTES = (Route("/wrong", causes), *question_routes("wrong"), Route("/wrong/handover", handover))
