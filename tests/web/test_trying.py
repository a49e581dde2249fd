"""Rules tried in the page: what is told of them, and that a trial holds nobody up and stays within its bounds."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from advisor.demo import demo_cases
from advisor.errors import BadRequest
from advisor.reference.rule_diff import compare
from advisor.validation.loading import load_rulebase
from advisor.web.app import ROUTES
from advisor.web.trials import MOST_KEPT, MOST_TRIED, MOST_WAITING, Heard, Telling, Trial, Trials
from advisor.web.trying import telling
from explanations.wording import wording
from tests.answer.test_judging import BASE
from tests.web.conftest import Visitor, hidden
from tests.web.test_home import words
from tests.web.views import tells_all, tells_and_dies, tells_and_hangs

MARKUP = "<script>alert(1)</script>"
NO_FILMS = """\
rules:
  - id: own.no_films
    judges: {film: "one of dense, thin"}
    when: {room: "one of garage, kitchen"}
    then: {rule_out: yes}
    because: "{finish} is not sold here."
    source: from_memory
"""
FALSE_CLAIM = """\
claims:
  own_no_films_in_baths:
    kind: always
    says: No film is laid in a bathroom.
    judges: {film: "one of dense, thin"}
    when: {room: bathroom}
    then: {rule_out: yes}
"""


def ended(trials: Trials, key: str, seconds: float = 600.0) -> Trial:
    until = time.monotonic() + seconds
    while (trial := trials.trial(key)).state in ("waiting", "under_way"):
        assert time.monotonic() < until
        time.sleep(0.05)
    return trial


def until_claims(sent: str) -> list[Heard]:
    """What is told before any claim is looked at, which takes minutes."""
    told = []
    for heard in telling(sent):
        told.append(heard)
        if heard.kind == "step" and heard.name == "claims":
            break
    return told


def test_the_differences_are_those_of_diff(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(NO_FILMS)
    changes = list(compare(BASE, load_rulebase(tmp_path, proved=False), demo_cases().values()))
    told = until_claims(NO_FILMS)
    assert [(each.name, each.lines) for each in told if each.kind == "case"] == [
        (change.case, change.differences) for change in changes
    ]
    assert any(change.answer for change in changes)
    assert told[-1].lines == (str(len(BASE.claims) + len(BASE.cause_claims)),)


@pytest.mark.parametrize(
    "sent", ["rules: [", "rules:\n  - id: own.x\n    when: {nothing: yes}\n", MARKUP, "limits: {air_dry: }"]
)
def test_what_is_wrong_is_told_by_line_and_names_no_folder_of_this_machine(sent: str) -> None:
    told = until_claims(sent)
    faults = [each for each in told if each.kind == "fault"]
    assert faults
    assert {each.kind for each in told} == {"step", "fault"}
    assert all(each.name.startswith("overlay/tried.yaml") for each in faults)
    assert "/tmp" not in repr(faults)


@pytest.mark.parametrize(
    ("told_by", "state"), [(tells_and_hangs, "too_long"), (tells_and_dies, "died"), (tells_all, "done")]
)
def test_a_trial_ends_in_its_time_and_what_it_told_stays(told_by: Telling, state: str) -> None:
    trials = Trials(told_by, seconds=6.0)
    trial = ended(trials, trials.begin("said"))
    assert trial.state == state
    assert len(trial.heard) == 1


def test_trials_are_bounded() -> None:
    trials = Trials(tells_and_hangs, seconds=600.0)
    with pytest.raises(BadRequest, match="pasted"):
        trials.begin(" \n")
    with pytest.raises(BadRequest, match="too long"):
        trials.begin("x" * (MOST_TRIED + 1))
    first = trials.begin("x")
    while trials.trial(first).state == "waiting":
        time.sleep(0.01)
    for _ in range(MOST_WAITING):
        trials.begin("x")
    with pytest.raises(BadRequest, match="wait already"):
        trials.begin("x")
    with pytest.raises(BadRequest, match="no such trial"):
        trials.trial("x")
    trials.close()
    assert ended(trials, first).state == "died"


def test_the_oldest_make_room() -> None:
    trials = Trials(tells_all)
    keys = []
    for _ in range(MOST_KEPT + 1):
        keys.append(trials.begin("x"))
        ended(trials, keys[-1])
    with pytest.raises(BadRequest, match="no such trial"):
        trials.trial(keys[0])
    assert trials.trial(keys[1]).state == "done"


def test_the_page_shows_how_far_it_is(visitor: Visitor) -> None:
    offered = visitor.get("/rules/try")
    assert visitor.post("/rules/try", data={"rules": NO_FILMS}).status_code == 403
    token = hidden(offered, "token")
    assert visitor.post("/rules/try", data={"token": token, "rules": " "}).status_code == 422
    sent = {"file": ("own.yaml", b"\xff\xfe\x00")}
    assert wording("web_try.no_text") in visitor.post("/rules/try", data={"token": token}, files=sent).text
    begun = visitor.post("/rules/try", data={"token": token}, files={"file": ("own.yaml", MARKUP.encode())})
    assert begun.status_code == 303
    until = time.monotonic() + 120
    while wording("web_try.refused") not in (page := visitor.get(begun.headers["location"])).text:
        assert page.status_code == 200
        assert time.monotonic() < until
        time.sleep(0.2)
    assert MARKUP not in page.text
    assert visitor.get("/rules/tried?key=x").status_code == 422


def test_a_whole_trial_through_the_page_tells_every_example_floor_and_every_claim(visitor: Visitor) -> None:
    token = hidden(visitor.get("/rules/try"), "token")
    begun = visitor.post("/rules/try", data={"token": token, "rules": NO_FILMS + FALSE_CLAIM})
    at, until = begun.headers["location"], time.monotonic() + 590
    while wording("web_try.states.done") not in (page := visitor.get(at)).text:
        assert wording("web_try.states.under_way") in page.text or wording("web_try.states.waiting") in page.text
        assert time.monotonic() < until
        time.sleep(1.0)
    told = words(page)
    claims = len(BASE.claims) + len(BASE.cause_claims) + 1
    assert wording("web_try.claims", n=claims, of=claims) in told
    assert wording("web_try.breaks", n=1) in told
    assert all(name in page.text for name in (*BASE.claims, *BASE.cause_claims, "own_no_films_in_baths"))
    broken = told.split(wording("web_try.outcomes.refuted", n=1))[1].split(
        wording("web_try.outcomes.proved", n=claims - 1)
    )[0]
    assert "own_no_films_in_baths" in broken
    assert "bathroom" in broken
    touched = told.split(wording("web_try.cases"))[1]
    assert wording("web_try.touched", n=2, of=len(demo_cases())) in touched
    assert all(name in touched for name in ("old_tile_kitchen", "untested_garage"))


def test_whatever_changes_something_on_the_server_asks_for_the_token() -> None:
    assert all(route.changes for route in ROUTES if route.at_hand and route.method == "POST")
