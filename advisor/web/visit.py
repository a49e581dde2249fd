"""What a visitor has said, written into the address of each page.

Nothing of a visit is kept on the server. The address of a page holds all that was said up to it, packed: so the back
button goes back to what was said then, a page that is loaded again is the same, two tabs are two floors, a bookmark can
be gone on with, a server that was lost and started again knows all, no memory grows with the visitors, and nothing of
it needs a script or a cookie. It need not be signed: it gives no right, each answer is read and checked as if it were
typed anew, and a text that is none is refused. What it costs: an address of some hundred characters, and whoever may
look into the browser's history can read what was said of the floor.
"""

from __future__ import annotations

import json
import zlib
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256

from advisor.answer.judging import judge_of
from advisor.asking.interview import Interview, Step
from advisor.asking.screens import read_typed
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRequest, Fault
from advisor.facts.case import Case, make_case, say
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.knowledge import RuleBase
from advisor.model.remembered import OncePerBase
from advisor.web.own import NOTHING, Own, pack_own, unpack_own
from explanations.wording import wording

LONGEST = 6000  # characters of a packed visit
MOST_UNPACKED = 60_000
MOST_ANSWERS, LONGEST_ANSWER, LONGEST_NAME = 300, 400, 120

Typed = tuple[str, str]  # what was asked (a fact, or an opening question), and what was typed


@dataclass(frozen=True)
class Visit:
    """What was said of one floor.

    Attributes:
        floor: its name.
        given: the facts of the case that it began with, each as somebody would type it.
        answers: what was asked here, in order, and what was answered.
        own: data sheets and prices that were brought along.
    """

    floor: str = ""
    given: tuple[Typed, ...] = ()
    answers: tuple[Typed, ...] = ()
    own: Own = NOTHING

    def answered(self, asked: str, typed: str) -> Visit:
        """The same with one answer more."""
        return replace(self, answers=(*self.answers, (asked, " ".join(typed.split()))))

    @property
    def before(self) -> Visit:
        """The same without the last answer."""
        return replace(self, answers=self.answers[:-1])

    @property
    def begun(self) -> bool:
        """Whether anything was said."""
        return bool(self.given or self.answers)


def visit_of(case: Case) -> Visit:
    """A visit that begins with a case."""
    return Visit(case.floor, tuple((name, _typed(said)) for name, said in case.stated.items()))


def _typed(said: Statement) -> str:
    on = f" on {said.on.isoformat()}" if said.on else ""
    return f"{said.text}{on}{f' by {said.by}' if said.by else ''}"


def pack(visit: Visit, base: RuleBase) -> str:
    """A visit as a text for an address; nothing said is nothing. What was brought along follows after a full stop.

    Raises:
        BadRequest: more was said than an address holds.
    """
    if not visit.begun and not visit.own:
        return ""
    told = json.dumps(
        [_marks(base), visit.floor, visit.given, visit.answers], ensure_ascii=False, separators=(",", ":")
    )
    packed = urlsafe_b64encode(zlib.compress(told.encode(), 9)).decode().rstrip("=")
    if len(packed) > LONGEST:
        raise BadRequest([Fault("", wording("web.visit.too_long"))])
    return f"{packed}.{own}" if (own := pack_own(visit.own, base)) else packed


def unpack(text: str, base: RuleBase) -> Visit:
    """The visit that a text holds.

    Raises:
        BadRequest: it holds none, or one of other questions than are asked now.
    """
    if not text:
        return Visit()
    said, _, own = text.partition(".")
    try:
        if len(said) > LONGEST:
            raise ValueError("too long")
        unpacking = zlib.decompressobj()
        told = unpacking.decompress(urlsafe_b64decode(said + "=" * (-len(said) % 4)), MOST_UNPACKED)
        if not unpacking.eof:
            raise ValueError("cut off, or too large")
        mark, floor, given, answers = json.loads(told.decode())
        visit = Visit(_text(floor, LONGEST_NAME), _pairs(given), _pairs(answers), unpack_own(own, base))
    except (ValueError, TypeError, AttributeError, zlib.error, RecursionError):
        raise BadRequest([Fault("", wording("web.visit.unread"), remedy=wording("web.visit.again"))]) from None
    if mark != _marks(base):
        raise BadRequest([Fault("", wording("web.visit.old"), remedy=wording("web.visit.again"))])
    return visit


def brings(text: str) -> bool:
    """Whether something was brought along in the visit that a text holds."""
    return "." in text


def _text(given: object, longest: int) -> str:
    if not isinstance(given, str) or len(given) > longest:
        raise ValueError("no text, or too long a one")
    return given


def _pairs(given: object) -> tuple[Typed, ...]:
    if not isinstance(given, list) or len(given) > MOST_ANSWERS:
        raise ValueError("no list, or too long a one")
    return tuple((_text(asked, LONGEST_NAME), _text(typed, LONGEST_ANSWER)) for asked, typed in given)


def _mark(base: RuleBase) -> str:
    """Which questions a packed visit answers: places in their lists are what it holds."""
    told = [[name, each.model_dump(mode="json")] for name, each in base.conversation.items()]
    return sha256(json.dumps(told).encode()).hexdigest()[:6]


_marks = OncePerBase(_mark)


def case_of(base: RuleBase, visit: Visit, today: date) -> Case:
    """What a visit says, as a case.

    Raises:
        BadCase: an answer does not fit.
    """
    case = make_case(base, _given(base, visit, today), today, visit.floor)
    said: dict[str, Statement] = {}
    for _, says in _answers(base, visit, today, case):
        said |= says
    return say(base, case, said, today) if said else case


def _given(base: RuleBase, visit: Visit, today: date) -> dict[str, Statement]:
    return {name: read_typed(base, name, typed, today)[name] for name, typed in visit.given}


def _answers(base: RuleBase, visit: Visit, today: date, case: Case) -> list[tuple[str, Mapping[str, Statement]]]:
    """What was asked in this visit, and what each answer says of the floor."""
    stated, said = dict(case.stated), []
    for asked, typed in visit.answers:
        says = read_typed(base, asked, typed, today, stated)
        said.append((asked, says))
        stated |= says
    return said


_blank = OncePerBase(lambda base: working_memory(base, {}))  # of a floor of which nothing is known


@contextmanager
def going_on(reasoner: Reasoner, visit: Visit, today: date) -> Iterator[tuple[Interview, Step | None]]:
    """The interview as the visit left it, and what its last answer changed; its engine is freed at the end.

    Raises:
        BadCase: an answer does not fit.
    """
    base = reasoner.base
    case = make_case(base, _given(base, visit, today), today, visit.floor)
    said = _answers(base, visit, today, case)
    held = Interview(reasoner, judge_of(reasoner), today, case, ask_declined=True, earlier=said[:-1], like=_blank(base))
    try:
        yield held, held.tell(*said[-1]) if said else None
    finally:
        held.close()
