"""At the counter: facts typed as they are told, answer and standings beside them, what to ask next."""

from __future__ import annotations

from itertools import islice

from markupsafe import Markup

from advisor.asking.answer_words import effects_told, step_told
from advisor.asking.interview import Interview, Step
from advisor.asking.typed_short import read_short
from advisor.errors import AdvisorError, BadRequest, Fault
from advisor.model.knowledge import RuleBase
from advisor.pages.advice_report import standings_table
from advisor.pages.blocks import Page
from advisor.web import told
from advisor.web.asked import Asked, Desk, Reply, Route, on_to
from advisor.web.bringing import own_routes
from advisor.web.floors import study_of
from advisor.web.questions import before, question_routes, reading_for, understood
from advisor.web.rendering import address, body, page
from advisor.web.visit import LONGEST_ANSWER, Visit, case_of, going_on, pack, unpack
from explanations.reading import measuring
from explanations.wording import label, wording

LONGEST_SAID = 2000
MOST_QUESTIONS = 3
ABREAST = 3  # finishes compared
MOST_LINES = 6  # of the addressee


def counter(desk: Desk, asked: Asked) -> Reply:
    """What was said, and the answer beside it."""
    visit = unpack(asked.one("case"), desk.base)
    with going_on(desk.reasoner, visit, desk.today) as (held, step), reading_for(desk, held):
        return _shown(desk, visit, held, step)


def enter(desk: Desk, asked: Asked) -> Reply:
    """Take the facts typed; what does not fit is said beside them, and nothing of it is taken."""
    visit, text = unpack(asked.one("case"), desk.base), asked.one("said")
    try:
        after = with_facts(desk.base, visit, text)
        with going_on(desk.reasoner, after, desk.today):
            return on_to(address("/counter", case=pack(after, desk.base)))
    except AdvisorError as error:
        faults = error.faults
    with going_on(desk.reasoner, visit, desk.today) as (held, _), reading_for(desk, held):
        return _shown(desk, visit, held, None, faults, text[:LONGEST_SAID])


def with_facts(base: RuleBase, visit: Visit, text: str) -> Visit:
    """A visit with the facts that were typed.

    Raises:
        BadRequest: nothing was, it cannot be told of which fact, or it is too long.
    """
    if not text.strip():
        raise BadRequest([Fault("", wording("web_counter.nothing"))])
    if len(text) > LONGEST_SAID:
        raise BadRequest([Fault("", wording("web.question.too_long", most=LONGEST_SAID))])
    for fact, typed in read_short(base, text):
        if len(typed) > LONGEST_ANSWER:
            raise BadRequest([Fault(fact, wording("web.question.too_long", most=LONGEST_ANSWER))])
        visit = visit.answered(fact, typed)
    return visit


def _shown(
    desk: Desk,
    visit: Visit,
    held: Interview,
    step: Step | None,
    faults: tuple[Fault, ...] = (),
    text: str = "",
) -> Reply:
    """The page of the counter."""
    from advisor.pages.short_answer import short_page

    base, study = desk.base, study_of(desk, visit, held.case)
    questions = [] if held.settled else list(islice(held.questions(), MOST_QUESTIONS))
    return page(
        "counter/counter.html",
        422 if faults else 200,
        way="counter",
        case=pack(visit, base),
        before=before("counter", desk, visit),
        said=understood(held),
        faults=faults,
        text=text,
        changed=list(step_told(base, step)) if step else [],
        told=body(short_page(study.advice), without_title=True),
        standings=body(Page("", (standings_table(study.advice),))),
        asks=[
            (each.fact, base.facts[each.fact].ask, list(effects_told(base, held.outlook, held.effects(each))))
            for each in questions
        ],
        suggested=list(_suggested(base)),
        left=[(each.finish, each.name) for each in study.advice.standings if each.verdict != "ruled out"],
        buys=study.advice.answer.leading is not None,
    )


def _suggested(base: RuleBase) -> list[tuple[str, str]]:
    """What the list beneath the box offers, as typed and as it reads: each value of a fact that is chosen, a number."""
    offered = []
    for name, kind in base.facts.items():
        if not kind.ask:
            continue
        called = label("fact", name)
        values = [] if kind.values_from or kind.type == "number" else kind.choices
        offered += [(f"{name}: {value}", f"{called}: {label('value', value)}") for value in values]
        offered += [] if values else [(f"{name}: ", called)]
    return offered


def compare(desk: Desk, asked: Asked) -> Reply:
    """Two or three finishes side by side."""
    from advisor.pages.compare import compare_page, compared
    from advisor.work.typed import read_rate

    visit, wanted = unpack(asked.one("case"), desk.base), list(asked.all("finish"))
    if len(wanted) > ABREAST:
        raise BadRequest([Fault("", wording("web_counter.too_many", n=len(wanted), most=ABREAST))])
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        columns = compared(study, wanted, read_rate(None, desk.base))[:ABREAST]
        beside = body(compare_page(study, columns, "", abreast=ABREAST))
        return _sheet(pack(visit, desk.base), "compare", [beside])


def letter(desk: Desk, asked: Asked) -> Reply:
    """The customer's letter, on the shop's paper."""
    visit = unpack(asked.one("case"), desk.base)
    case, study = pack(visit, desk.base), study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        pages = [body(each) for each in told.letter(study, desk.house.shop, _addressee(asked))]
        pdf = address("/counter/letter.pdf", case=case, to="\n".join(_addressee(asked)))
        return _sheet(case, "letter", pages, pdf)


def _sheet(case: str, name: str, pages: list[Markup], pdf: str = "") -> Reply:
    return page("counter/sheet.html", way="counter", case=case, name=name, told=pages, pdf=pdf)


def letter_file(desk: Desk, asked: Asked) -> Reply:
    """The same letter as a PDF to print, of two sheets at most."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        return told.letter_file(study, desk.house.shop, _addressee(asked))


def _addressee(asked: Asked) -> tuple[str, ...]:
    return tuple(filter(None, (line.strip()[:120] for line in asked.one("to").splitlines()[:MOST_LINES])))


def shopping(desk: Desk, asked: Asked) -> Reply:
    """What to buy and hire, and what it costs, by the shop's prices."""
    visit = unpack(asked.one("case"), desk.base)
    study = study_of(desk, visit, case_of(desk.base, visit, desk.today))
    with measuring(study.reading):
        pages = [body(each) for each in told.takes(study)]
        return _sheet(pack(visit, desk.base), "shopping", pages)


ROUTES = (
    Route("/counter", counter),
    Route("/counter", enter, "POST"),
    *(each for each in question_routes("counter") if each.path != "/counter"),
    *own_routes("counter"),
    Route("/counter/compare", compare),
    Route("/counter/letter", letter),
    Route("/counter/letter.pdf", letter_file),
    Route("/counter/shopping", shopping),
)
