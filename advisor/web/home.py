"""At home: the questions of the interview one after another, then the answer, and what it takes on request.

The same questions in the same order, with the same words and memory as `advisor interview`.
"""

from __future__ import annotations

from collections.abc import Callable

from advisor.asking.interview import OPENING, Upcoming
from advisor.asking.opening import hints_of
from advisor.asking.screens import screen_of
from advisor.errors import BadRequest, Fault
from advisor.facts.case import Case
from advisor.facts.case_file import case_text
from advisor.model.reader import reading_of
from advisor.pages.blocks import Page
from advisor.web import told
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.bringing import own_routes
from advisor.web.floors import study_of
from advisor.web.questions import before, question_page, question_routes, reading_for
from advisor.web.rendering import body, page, titled
from advisor.web.visit import Visit, case_of, going_on, pack, unpack
from advisor.work.takeoff import TakeOff
from explanations.errors import CannotExplain
from explanations.reading import measuring
from explanations.wording import wording

# More about the answer, by the last part of its address: what it tells, and whether it is of a finish that may be had.
MORE: dict[str, tuple[Callable[[TakeOff], tuple[Page, ...]], bool]] = {
    "full": (told.in_full, False),
    "why": (told.why, False),
    "picture": (told.nothing, False),
    "takes": (told.takes, True),
    "plan": (told.plan, True),
    "letter": (told.letter, False),
    "settled": (told.settled, False),
}


def ask_next(desk: Desk, asked: Asked) -> Reply:
    """The next question; at the end the answer."""
    visit = unpack(asked.one("case"), desk.base)
    with going_on(desk.reasoner, visit, desk.today) as (held, step), reading_for(desk, held):
        coming = held.upcoming()
        if coming.ends:
            return _answer(desk, visit, held.case, coming)
        wanted = OPENING + coming.opening if coming.opening else coming.question.fact if coming.question else ""
        return question_page("home", desk, visit, held, screen_of(held, wanted, coming.question), step)


def answer_now(desk: Desk, asked: Asked) -> Reply:
    """The answer to what was said so far."""
    visit = unpack(asked.one("case"), desk.base)
    case = case_of(desk.base, visit, desk.today)
    with measuring(reading_of(desk.base, case.facts)):
        return _answer(desk, visit, case, None)


def _answer(desk: Desk, visit: Visit, case: Case, coming: Upcoming | None) -> Reply:
    """The answer on one screen, why nothing more is asked, and the ways on."""
    from advisor.pages.short_answer import short_page

    study = study_of(desk, visit, case)
    advice = study.advice
    question = coming.question if coming else None
    kind = desk.base.facts[question.fact] if question else None
    ask, how = (kind.ask or "", kind.find_out) if kind else ("", "")
    return page(
        "home/answer.html",
        way="home",
        case=pack(visit, desk.base),
        before=before("home", desk, visit),
        title=advice.floor or wording("report.title"),
        told=body(short_page(advice), without_title=True),
        ends=wording(f"interview.ends.{coming.ends}", ask=ask, how=how) if coming and coming.ends else "",
        question=question.fact if question else "",
        ask=ask,
        wrong=bool(hints_of(desk.base, case.as_read) or advice.went_wrong),
        more=_more(study),
        asks_more=coming is None,
    )


def _more(study: TakeOff) -> list[str]:
    """The further pages that there are for this floor."""
    may_be_had = study.advice.answer.leading is not None
    return [name for name, (_, of_a_finish) in MORE.items() if may_be_had or not of_a_finish]


def more(desk: Desk, asked: Asked) -> Reply:
    """More about the answer, on request."""
    visit = unpack(asked.one("case"), desk.base)
    name = asked.path.rpartition("/")[2]
    case = case_of(desk.base, visit, desk.today)
    study = study_of(desk, visit, case)
    if name not in _more(study):
        raise BadRequest([Fault("", wording("job.none_suits"))])
    with measuring(study.reading):
        return page(
            "home/more.html",
            way="home",
            case=pack(visit, desk.base),
            name=name,
            more=_more(study),
            floor=case.floor,
            told=[body(each) for each in MORE[name][0](study)],
        )


def picture(desk: Desk, asked: Asked) -> Reply:
    """The picture of the reasons, as a file."""
    return _drawn(desk, asked, "svg", "image/svg+xml")


def picture_in_chapters(desk: Desk, asked: Asked) -> Reply:
    """The same as a PDF, which takes everything: a page for each finish."""
    return _drawn(desk, asked, "pdf", "application/pdf")


def _drawn(desk: Desk, asked: Asked, form: str, kind: str) -> Reply:
    from advisor.answer.picturing import advice_graph, view
    from explanations.pictures import drawn

    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        shown = view(advice_graph(study.advice, desk.base), study.advice, asked.one("depth") or "gist")
        try:
            content = drawn(shown, titled("answer.why", study.advice.floor), form)
        except CannotExplain as error:
            raise BadRequest([Fault("", str(error))]) from None
    return Reply(content, kind=kind)


def letter_file(desk: Desk, asked: Asked) -> Reply:
    """The letter as a PDF of two sheets at most."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        return told.letter_file(study)


def case_file(desk: Desk, asked: Asked) -> Reply:
    """What was said, as a case file for the commands."""
    case = case_of(desk.base, unpack(asked.one("case"), desk.base), desk.today)
    return Reply(case_text(case).encode(), kind="application/yaml", saved_as="floor.yaml")


ROUTES = (
    Route("/home", ask_next),
    *question_routes("home"),
    *own_routes("home"),
    Route("/home/answer", answer_now),
    *(Route(f"/home/{name}", more) for name in MORE),
    Route("/home/picture.svg", picture),
    Route("/home/picture.pdf", picture_in_chapters),
    Route("/home/letter.pdf", letter_file),
    Route("/home/floor.yaml", case_file),
)
