"""What if: facts moved, and at once what falls, what stands and what comes back, in words and in the picture."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup

from advisor.answer.judging import judge_of
from advisor.asking.revision import Revision, revise
from advisor.asking.revision_words import revision_told, shift_of
from advisor.asking.turning import would_turn
from advisor.asking.typed_answers import read_answer
from advisor.asking.why import turning_text
from advisor.errors import AdvisorError, BadRequest, Fault
from advisor.model.entry import UNKNOWN
from advisor.model.reader import reading_of
from advisor.model.vocabulary import FactKind
from advisor.pages.blocks import Page
from advisor.web import told
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.rendering import address, body, page
from advisor.web.sliding import limits_in_words, slider_of, typed_at
from advisor.web.visit import case_of, pack, unpack
from explanations.pictures import as_svg
from explanations.reading import measuring
from explanations.wording import label, wording

MOST_MOVED, LONGEST = 12, 200


def what_if(desk: Desk, asked: Asked) -> Reply:
    """The facts that can be moved, those that are, and what that changes."""
    base, visit = desk.base, unpack(asked.one("case"), desk.base)
    case = case_of(base, visit, desk.today)
    fact, moved = asked.one("fact"), _moved(asked)
    faults: tuple[Fault, ...] = ()
    kind = base.facts.get(fact)
    if fact and not (kind and kind.ask):
        raise BadRequest([Fault("", wording("interview.no_question", name=fact[:60]))])
    limits = judge_of(desk.reasoner).limits.get(fact, ())
    with measuring(reading_of(base, case.facts)):
        if kind and (to := _to(kind, limits, asked)):
            try:
                read_answer(fact, kind, to, desk.today)
                revise(desk.reasoner, case, [f"{n}={t}" for n, t in {**moved, fact: to}.items()], desk.today)
                moved[fact] = to
            except AdvisorError as error:
                faults = error.faults
        revision = _revised(desk, asked, moved)
        now = revision.case if revision else case
        value = now.facts.get(fact)
        slider = slider_of(kind, limits, value) if kind and kind.type == "number" else None
        packed = pack(visit, base)
        return page(
            "whatif/whatif.html",
            422 if faults else 200,
            way="counter",
            case=packed,
            facts=[(name, label("fact", name)) for name, each in base.facts.items() if each.ask],
            fact=fact,
            kind=kind,
            value=value.shown if value else label("value", UNKNOWN),
            choice=value.choice if value and value.known else "",
            slider=slider,
            typed=asked.one("at")[:LONGEST] if faults else "",
            limits=limits_in_words(slider) if slider else "",
            moved=moved,
            otherwise=[(name, label("fact", name), now.facts[name].shown) for name in moved],
            without={name: _without(packed, moved, name) for name in moved},
            faults=faults,
            told=_difference(revision) if revision else "",
            picture=_with("/whatif/picture.svg", packed, moved) if revision else "",
        )


def _difference(revision: Revision) -> Markup:
    return body(Page("", tuple(told.as_blocks("\n".join(revision_told(revision)), headed=True))))


def _to(kind: FactKind, limits: Iterable[float], asked: Asked) -> str:
    """What a fact is moved to, as typed: chosen, or a figure in the reader's unit; empty if nothing was said."""
    return asked.one("to").strip()[:LONGEST] or typed_at(kind, limits, asked.one("at").strip()[:LONGEST])


def turns(desk: Desk, asked: Asked) -> Reply:
    """The smallest changes that turn the answer."""
    visit = unpack(asked.one("case"), desk.base)
    case = case_of(desk.base, visit, desk.today)
    with measuring(reading_of(desk.base, case.facts)):
        found = turning_text(would_turn(desk.reasoner, case, today=desk.today), desk.base)
        shown = body(Page("", tuple(told.as_blocks(_joined(found)))))
        return page("whatif/turns.html", way="counter", case=pack(visit, desk.base), told=shown)


def picture(desk: Desk, asked: Asked) -> Reply:
    """What turns the answer, as a picture."""
    visit = unpack(asked.one("case"), desk.base)
    with measuring(reading_of(desk.base, case_of(desk.base, visit, desk.today).facts)):
        revision = _revised(desk, asked, _moved(asked))
        if revision is None:
            raise BadRequest([Fault("", wording("web_whatif.nothing"))])
        title = wording("asking.revised.drawing", floor=revision.after.floor)
        drawn = as_svg(shift_of(revision, desk.base), title)
    return Reply(drawn.encode(), kind="image/svg+xml")


def _moved(asked: Asked) -> dict[str, str]:
    """The facts moved so far, each as typed."""
    pairs = (each.partition("=") for each in asked.all("moved")[:MOST_MOVED])
    return {name: text[:LONGEST] for name, sign, text in pairs if sign and text}


def _revised(desk: Desk, asked: Asked, moved: dict[str, str]) -> Revision | None:
    if not moved:
        return None
    case = case_of(desk.base, unpack(asked.one("case"), desk.base), desk.today)
    return revise(desk.reasoner, case, [f"{name}={text}" for name, text in moved.items()], desk.today)


def _with(path: str, case: str, moved: dict[str, str]) -> str:
    return address(path, case=case, moved=[f"{name}={text}" for name, text in moved.items()])


def _without(case: str, moved: dict[str, str], name: str) -> str:
    return _with("/whatif", case, {each: text for each, text in moved.items() if each != name})


def _joined(text: str) -> str:
    """Lines filled to a terminal's width, put together again."""
    lines: list[str] = []
    for line in text.splitlines():
        bare = line.strip()
        if bare and lines and lines[-1] and line.startswith("  ") and not bare.startswith("- "):
            lines[-1] += f" {bare}"
        else:
            lines.append(line)
    return "\n".join(lines)


ROUTES = (Route("/whatif", what_if), Route("/whatif/turns", turns), Route("/whatif/picture.svg", picture))
