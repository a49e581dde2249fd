"""For programs: the verbs of the command line that print data, under `/api/v1`, with the same models as `--json`."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, BadCase, Fault, refusal
from advisor.facts.case import Case, make_case
from advisor.facts.case_form import read_form
from advisor.facts.statements import Statement, read_statement
from advisor.model.published import Published
from advisor.model.reader import System, reading_of
from advisor.physics.validity import OutsideValidity
from advisor.rulebase.documents import Document, document_of_json
from advisor.sent import Sent
from advisor.web import api_forms as forms
from advisor.web.api_look_up import JSON, LOOKED_UP, SLOW, data, look_up
from advisor.web.api_schema import openapi
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.own import Own, desk_with
from advisor.web.problems import API, fault_problem
from advisor.web.recent import Recent
from advisor.web.rendering import page
from advisor.work.takeoff import TakeOff, begin
from explanations.errors import CannotExplain
from explanations.reading import Reading, measuring
from explanations.wording import speaking_of, wording

if TYPE_CHECKING:
    from advisor.answer.many_answers import ManyAnswers

BODY = "request"
_PLACE = Path(BODY)
MOST_QUESTIONS = 3


def ask(verb: str, desk: Desk, asked: Asked) -> Reply:
    """Answer the request of a verb; what is wrong with it is a problem in detail."""
    content: Mapping[str, Any] = {}
    with speaking_of(""):  # as the commands say it
        try:
            content = document_of_json(BODY, asked.body).content
            request = forms.read_request(verb, dict(content))
            if isinstance(request, forms.ByProducts):
                desk = desk_with(desk, _own(request))
            if isinstance(request, forms.OfFloor):
                return data(VERBS[verb](desk, case_said(desk, request.case), request))
            return data(OTHER_VERBS[verb](desk, request))
        except AdvisorError as error:
            return fault_problem(error.faults, content, desk.base)
        except CannotExplain as error:
            return fault_problem([Fault("", str(error))], content, desk.base)
        except OutsideValidity as error:
            return fault_problem([Fault("", refusal(*error.args))], content, desk.base)


def _own(request: forms.ByProducts) -> Own:
    """What was sent along: data sheets, and prices where the verb works with them."""
    prices = getattr(request, "prices", "")
    sheets = tuple(
        Sent("product" if len(request.product) == 1 else f"product {n}", json.dumps(each).encode(), ".json")
        for n, each in enumerate(request.product, start=1)
    )
    return Own(sheets, Sent("prices", prices.encode(), ".csv") if prices else None)


def case_said(desk: Desk, content: dict[str, Any]) -> Case:
    """A case as a program gives it.

    Raises:
        BadCase: with every fault found, each at its fact.
    """
    file = read_form(Document(_PLACE, content), desk.base)
    faults: list[Fault] = []
    said: dict[str, Statement] = {}
    for name, entry in file.facts.items():
        try:
            said[name] = read_statement(name, entry, name, desk.today)
        except BadCase as error:
            faults += error.faults
    try:
        case = make_case(desk.base, said, desk.today, file.floor or "", file.note or "")
    except BadCase as error:
        faults += error.faults
    if faults:
        raise BadCase(faults)
    return case


def _advise(desk: Desk, case: Case, asked: forms.Advise) -> Published:
    from advisor.work.fit import study_fully

    study = study_fully(desk.reasoner, case, desk.today, asked.rooms, desk.house.prices, asked.units)
    return study.advice


def _causes(desk: Desk, case: Case, _: forms.Causes) -> Published:
    from advisor.asking.causes import find_causes

    return find_causes(desk.reasoner, case, desk.today)


def _next(desk: Desk, case: Case, asked: forms.Next) -> Published:
    from advisor.answer.judging import judge_of
    from advisor.asking.interview import Interview
    from advisor.asking.next_record import next_record

    held = Interview(desk.reasoner, judge_of(desk.reasoner), desk.today, case, ask_declined=True)
    try:
        with _for(desk, case, asked.units):
            return next_record(held, MOST_QUESTIONS)
    finally:
        held.close()


def _revise(desk: Desk, case: Case, asked: forms.Revise) -> Published:
    from advisor.asking.revision import revise
    from advisor.asking.revision_record import revision_record

    said = [f"{name}={text}" for name, text in asked.say.items()]
    with _for(desk, case, asked.units):
        return revision_record(revise(desk.reasoner, case, said, desk.today))


def _why(desk: Desk, case: Case, asked: forms.Why) -> Published:
    from advisor.asking.causes import cause_named
    from advisor.asking.instead import instead
    from advisor.asking.why_record import why_record
    from advisor.work.explained import explained_fully

    cause = cause_named(desk.base, asked.finish) if asked.finish else ""
    with speaking_of("causes" if cause else ""), _for(desk, case, asked.units):
        told = explained_fully(desk.reasoner, case, desk.today, bool(cause))
        about = told.finish(asked.finish) if asked.finish else None
        if not (about and asked.other):
            return why_record(told, about, asked.rule)
        other = told.finish(asked.other)
        if other == about:
            fault = Fault("other", wording("instead.same", finish=about), wording("instead.two_wanted"))
            raise BadCase([fault])
        return instead(told, about, other)


def _turn(desk: Desk, case: Case, asked: forms.Turn) -> Published:
    from advisor.asking.causes import cause_named
    from advisor.asking.turning import would_turn
    from advisor.asking.why_record import turning_record
    from advisor.work.explained import explained_fully

    cause = cause_named(desk.base, asked.finish) if asked.finish else ""
    with speaking_of("causes" if cause else ""), _for(desk, case, asked.units):
        told = explained_fully(desk.reasoner, case, desk.today, bool(cause))
        about = told.finish(asked.finish) if asked.finish else None
        found = would_turn(told.reasoner, told.case, about, asked.most, asked.first, asked.everything, desk.today)
        return turning_record(found)


def _materials(desk: Desk, case: Case, asked: forms.Materials) -> Published:
    from advisor.pages.records import shopping_record

    study = _study(desk, case, asked)
    with measuring(study.reading):
        return shopping_record(study, study.chosen(asked.finish))


def _cost(desk: Desk, case: Case, asked: forms.Cost) -> Published:
    from advisor.pages.records import cost_record
    from advisor.work.typed import read_rate

    study = _study(desk, case, asked)
    with measuring(study.reading):
        chosen = study.chosen(asked.finish)
        if asked.against and study.chosen(asked.against) == chosen:
            raise BadCase([Fault("against", wording("buying.same_finish"), wording("buying.other_finish"))])
        return cost_record(study, chosen, read_rate(asked.rate, desk.base), asked.against)


def _plan(desk: Desk, case: Case, asked: forms.Plan) -> Published:
    from advisor.pages.records import plan_record
    from advisor.work.schedule import days_asked
    from advisor.work.typed import read_start
    from advisor.work.weather import weather_of

    first, study = read_start(asked.start, desk.today), _study(desk, case, asked)
    rows = [(n, {name: str(cell) for name, cell in row.items()}) for n, row in enumerate(asked.weather, start=1)]
    weather = weather_of("weather", rows, desk.base.norms["warmest_hour"].interval.low) if rows else None
    with measuring(study.reading):
        return plan_record(study, study.chosen(asked.finish), first, weather, days_asked(asked.weekdays))


def _care(desk: Desk, case: Case, asked: forms.Care) -> Published:
    from advisor.pages.care_page import care_record

    study = _study(desk, case, asked)
    with measuring(study.reading):
        return care_record(study, study.chosen(asked.finish))


def _quote(desk: Desk, case: Case, asked: forms.Quote) -> Published:
    from advisor.pages.quote_page import quote_record
    from advisor.work.quote import check_quote
    from advisor.work.quote_reading import quote_of

    study = _study(desk, case, asked)
    with measuring(study.reading):
        read = quote_of(Document(Path("quote"), asked.quote), desk.base, study.book.currency)
        return quote_record(study, check_quote(study, study.chosen(read.finish or None), read))


def _work(desk: Desk, asked: Any) -> Published:
    from advisor.worksheets.running import find_sheet, worked

    with measuring(Reading(asked.units) if asked.units else None):
        return worked(find_sheet(asked.sheet), asked.inputs, desk.base)


_many: Recent[ManyAnswers] = Recent(2)  # rule bases ready for many floors, in each process


def _survey(desk: Desk, asked: forms.Survey) -> Published:
    from advisor.answer.many_answers import ManyAnswers
    from advisor.survey.record import as_table, survey_record
    from advisor.work.takeoff import book_for_many

    if asked.weigh and len(asked.floors) > forms.MOST_WEIGHED:
        what, most = wording("web_api.weighed"), wording("web_api.floors", most=forms.MOST_WEIGHED)
        raise BadCase([Fault("floors", what, most)])
    book = book_for_many(desk.base, desk.today, desk.house.prices)
    reading = _many.of(id(desk.base), lambda: ManyAnswers(desk.base))
    return survey_record(reading, book, [as_table(asked.floors)], (), asked.weigh, "floors")


def _compare(desk: Desk, case: Case, asked: forms.Compare) -> Published:
    from advisor.pages.compare import compared
    from advisor.pages.records import comparison_record
    from advisor.work.typed import read_rate

    study = _study(desk, case, asked)
    with measuring(study.reading):
        return comparison_record(study, compared(study, list(asked.finishes), read_rate(asked.rate, desk.base)))


def _study(desk: Desk, case: Case, asked: forms.Work) -> TakeOff:
    prices = desk.house.prices
    return begin(desk.reasoner, case, desk.today, asked.rooms, asked.slope, prices, asked.people, asked.units)


@contextmanager
def _for(desk: Desk, case: Case, units: System | None) -> Iterator[None]:
    """Within it figures are written for whoever reads of this floor."""
    with measuring(reading_of(desk.base, case.facts, units)):
        yield


VERBS: dict[str, Callable[[Desk, Case, Any], Published]] = {
    "advise": _advise,
    "causes": _causes,
    "next": _next,
    "revise": _revise,
    "why": _why,
    "turn": _turn,
    "materials": _materials,
    "cost": _cost,
    "plan": _plan,
    "compare": _compare,
    "care": _care,
    "quote": _quote,
}


OTHER_VERBS: dict[str, Callable[[Desk, Any], Published]] = {"work": _work, "survey": _survey}


def described(desk: Desk, _: Asked) -> Reply:
    """What may be asked and what is answered, as OpenAPI."""
    with speaking_of(""):
        return Reply(json.dumps(openapi(desk.base), ensure_ascii=False).encode(), kind=JSON)


def told(_: Desk, __: Asked) -> Reply:
    """The same for people."""
    return page("api.html", verbs=forms.FORMS, looked_up=LOOKED_UP, at=API)


ROUTES = (
    Route(API, told),
    Route(f"{API}/openapi.json", described),
    *(Route(f"{API}/{what}", partial(look_up, what), slow=what in SLOW) for what in LOOKED_UP),
    *(Route(f"{API}/{verb}", partial(ask, verb), "POST", kept=False, as_sent=True) for verb in forms.FORMS),
)
