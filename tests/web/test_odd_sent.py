"""What nobody should send: files, answers and names that hold characters which are obeyed instead of shown.

Each is answered, or refused in words; none passes such a character on to a page, a file or a program.
"""

from __future__ import annotations

import json
from random import Random
from typing import Any

import httpx
import pytest

from tests.answer.test_judging import BASE
from tests.fault_trials import ODD, odd_case
from tests.web.conftest import Visitor, case_in, hidden

OBEYED = {*map(chr, (*range(9), *range(11, 13), *range(14, 32), *range(127, 160))), *"\u202a\u202e\u2066\u200f"}
BAD = ("\x1b[31mred", "\x00", "\x07", "a\x7fb", "\u0092", "\u202eright", "\u200fmark", "\x9b2J", "tab\there", "a\rb")
REFUSED = (303, 422)


def told(reply: httpx.Response) -> str:
    """What a reply shows; fails where it shows what is obeyed."""
    assert reply.status_code < 500, reply.text[-500:]
    assert not OBEYED & {*reply.text, *reply.headers.get("location", "")}
    return reply.text


@pytest.mark.parametrize("bad", BAD, ids=ascii)
@pytest.mark.parametrize("place", ["floor", "value", "by", "fact", "note"])
def test_a_floor_that_is_sent_passes_no_such_character_on(visitor: Visitor, place: str, bad: str) -> None:
    facts: dict[str, Any] = {"room": "garage", "area": {"is": "40 m2"}}
    case: dict[str, Any] = {"floor": "Mine", "facts": facts}
    match place:
        case "floor" | "note":
            case[place] = bad
        case "value":
            facts["area"] = bad
        case "by":
            facts["area"]["by"] = bad
        case "fact":
            facts[bad] = "yes"
    sent = visitor.post("/open", files={"file": ("floor.json", json.dumps(case).encode())})
    assert sent.status_code in REFUSED
    told(sent)
    if sent.status_code == 303:
        for page in ("/home", "/home/said", "/home/floor.yaml"):
            told(visitor.get(page, params={"case": case_in(sent.headers["location"])}))


def test_odd_files_are_opened_or_refused_in_words(visitor: Visitor) -> None:
    rng, ended = Random(16), []
    for _ in range(300):
        ending, content = odd_case(BASE, rng)
        name = rng.choice((f"floor{ending}", f"\x1b[31m{ending}", f"caf\u00e9{ending}", "floor", ""))
        reply = visitor.post("/open", files={"file": (name, content)})
        told(reply)
        ended.append(reply.status_code)
    assert {*ended} <= {303, 413, 422}
    assert ended.count(303) > 20


@pytest.mark.parametrize("bad", BAD, ids=ascii)
def test_an_answer_or_a_fact_that_is_typed_passes_no_such_character_on(visitor: Visitor, bad: str) -> None:
    page = visitor.get("/home")
    told(visitor.answer(page, {"said": bad}))
    told(visitor.get("/home", params={"case": bad}))
    told(visitor.get("/home/ask", params={"asked": bad}))
    told(visitor.post("/counter", data={"case": "", "typed": bad, "floor": bad}))
    told(visitor.get("/whatif", params={"case": hidden(page, "case"), "fact": bad}))
    told(visitor.get("/rules", params={"words": bad}))
    told(visitor.get("/rules/rule", params={"id": bad}))


@pytest.mark.parametrize("odd", ODD, ids=lambda each: ascii(each)[:30])
def test_a_program_that_sends_such_a_value_is_answered_in_plain_characters(visitor: Visitor, odd: Any) -> None:
    for body in ({"case": {"floor": odd, "facts": {}}}, {"case": {"facts": {"area": odd}}}, {"case": odd}):
        told(
            visitor.post(
                "/api/v1/advise", content=json.dumps(body).encode(), headers={"content-type": "application/json"}
            )
        )
