"""The interview: its reasoning step by step, and the command through a pseudo-terminal and a pipe."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import pexpect
import pytest

from advisor.asking.causes import find_causes
from advisor.asking.conversation import Conversation
from advisor.asking.interview import OPENING, Interview, interview_about
from advisor.asking.opening import read_opening
from advisor.asking.screens import screen_of
from advisor.asking.typed_answers import read_answer
from advisor.errors import BadCase
from advisor.facts.case import make_case, read_case, read_fact
from advisor.facts.case_file import save_case, was_written_here
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from explanations.wording import label
from tests.answer.test_judging import BASE
from tests.floors import random_case

TODAY = date(2026, 11, 25)
ADVISOR = [sys.executable, "-m", "advisor"]


@pytest.fixture
def held() -> Iterator[Interview]:
    interview = interview_about(BASE, today=TODAY)
    yield interview
    interview.close()


# ---- the reasoning ---------------------------------------------------------------------------------------------


def test_an_answer_fires_only_what_is_new_and_says_what_fell(held: Interview) -> None:
    first = held.answer("slab_humidity", Statement("97 %"))
    assert first.fell
    assert all(standing.ruled_out_by for standing in first.fell)
    assert first.left == len(BASE.finishes) - len(first.fell)
    second = held.answer("pets", Statement("yes"))
    assert not second.afresh
    assert not set(first.fired) & set(second.fired)
    assert not {s.finish for s in first.fell} & {s.finish for s in second.fell}


def test_who_does_not_know_what_nobody_said_leaves_all_as_it_was(held: Interview) -> None:
    look, certainty = held.outlook, held.certainty
    first = held.next_question()
    assert first is not None
    held.answer(first.fact, Statement("unknown"))
    assert held.outlook is look  # nothing is drawn and judged anew
    assert held.certainty is certainty
    second = held.next_question()
    assert second is not None
    assert second.fact != first.fact
    held.answer("slab_humidity", Statement("97 %"))
    assert held.outlook is not look
    assert held.outlook.memory["slab_humidity"].known


def test_what_is_worth_too_little_is_not_looked_into(held: Interview) -> None:
    held.answer("slab_humidity", Statement("97 %"))
    every = list(held.questions())
    pressing = held.outlook.pressing
    least = [each.worth for each in every if each.fact not in pressing][1]
    some = [each for each in every if each.worth >= least or each.fact in pressing]
    assert some == list(held.questions(least))
    assert len(some) < len(every)
    assert all(each.fact in held.outlook.pressing for each in held.questions(1e9))


def test_a_changed_answer_brings_back_what_fell_by_it(held: Interview) -> None:
    first = held.answer("slab_humidity", Statement("97 %"))
    changed = held.answer("slab_humidity", Statement("60 %"))
    assert changed.afresh
    assert set(changed.came_back) == {standing.finish for standing in first.fell}


def test_taking_an_answer_back_leaves_the_case_as_it_was(held: Interview) -> None:
    before = held.trace
    held.answer("slab_humidity", Statement("97 %"))
    undone = held.undo()
    assert undone is not None
    assert undone[0] == "slab_humidity"
    assert held.trace == before
    assert not held.case.stated
    assert held.undo() is None


def test_taking_a_changed_answer_back_brings_the_earlier_one_back(held: Interview) -> None:
    held.answer("slab_humidity", Statement("60 %"))
    held.answer("pets", Statement("yes"))
    stated, trace = held.case.stated, held.trace
    held.answer("slab_humidity", Statement("97 %"))
    undone = held.undo()
    assert undone is not None
    assert undone[1].came_back
    assert held.case.stated == stated
    # Told all at once and not one by one, the same rules fire in another order.
    assert {each.name: each for each in held.trace.facts} == {each.name: each for each in trace.facts}
    assert Counter(held.trace.firings) == Counter(trace.firings)


def test_a_bad_answer_changes_nothing(held: Interview) -> None:
    held.answer("vapour_retarder", Statement("absent"))
    before = held.case, held.trace
    for fact, text in (("slab_humidity", "wet"), ("slab_humidity", "400 %"), ("retarder_permeance", "0.05 perm")):
        with pytest.raises(BadCase):
            held.answer(fact, Statement(text))
        assert (held.case, held.trace) == before


@pytest.mark.parametrize("seed", range(3))
def test_fact_by_fact_ends_in_the_advice_that_the_case_file_gives(seed: int, tmp_path: Path) -> None:
    rng = Random(seed)
    interview = interview_about(BASE, today=TODAY)
    facts = random_case(BASE, rng, known=0.4)
    for name, value in facts.items():
        text = value.choice or value.shown
        interview.answer(name, Statement(text))
    save_case(interview.case, tmp_path / "floor.yaml")
    read = read_case(tmp_path / "floor.yaml", BASE, TODAY)
    assert read.facts == interview.case.facts
    assert read.stated == interview.case.stated
    # What the session fired so far is part of what the whole case fires: the rest waits for what is unknown.
    memory = working_memory(BASE, read.facts)
    whole = {(f.rule, f.finish) for f in interview.reasoner.reason(read.facts)[1].firings}
    assert {(f.rule, f.finish) for f in interview.trace.firings} <= whole
    assert memory == interview.memory
    interview.close()


def test_when_everything_is_known_or_declined_the_session_has_fired_all(held: Interview) -> None:
    for name in (name for name, kind in BASE.facts.items() if kind.ask):
        held.answer(name, Statement("unknown"))
    whole = {(f.rule, f.finish) for f in held.advice().trace.firings}
    assert {(f.rule, f.finish) for f in held.trace.firings} == whole


def test_what_is_declined_is_not_asked_again(held: Interview) -> None:
    asked = []
    for _ in range(4):
        question = held.next_question()
        assert question is not None
        asked.append(question.fact)
        held.answer(question.fact, Statement("unknown"))
    assert len(set(asked)) == len(asked)


def test_what_was_answered_and_is_in_doubt_is_not_asked_again(held: Interview) -> None:
    """A dry reading under a damp sheet is set aside: asked again and again, it would be answered the same."""
    said = {"slab_humidity": "60 %", "plastic_sheet_test": "damp"}
    held.tell("slab_humidity", {name: Statement(text) for name, text in said.items()})
    assert {name for each in held.case.set_aside for name in each.facts} == said.keys()
    assert "slab_humidity" in {each.fact for each in held.outlook.questions(held.declined)}  # it would tell much
    assert not said.keys() & {each.fact for each in held.questions()}


def test_an_old_test_of_a_file_is_asked_for_once_more() -> None:
    case = make_case(BASE, {"slab_humidity": Statement("80 %", date(2019, 1, 1), "")}, TODAY)
    interview = interview_about(BASE, case, TODAY)
    try:
        assert "slab_humidity" in {each.fact for each in interview.questions()}
        interview.answer("slab_humidity", Statement("80 %", date(2019, 1, 1), ""))
        assert "slab_humidity" not in {each.fact for each in interview.questions()}
    finally:
        interview.close()


def test_a_stop_is_said_at_once_and_ends_the_questions(held: Interview) -> None:
    step = held.answer("active_leak", Statement("yes"))
    assert step.stops
    assert held.certainty.settled
    assert held.next_question() is None


def test_a_blank_case_is_asked_about_and_declined_facts_are_kept(tmp_path: Path) -> None:
    blank = make_case(BASE, {"pets": Statement("unknown"), "cracks": Statement("hairline")}, TODAY)
    again = interview_about(BASE, blank, TODAY, keep_declined=False)
    assert not again.declined
    kept = interview_about(BASE, blank, TODAY)
    assert kept.declined == {"pets"}
    again.answer("pets", Statement("unknown"))
    assert again.declined == {"pets"}
    again.close()
    kept.close()


# ---- the conversation ------------------------------------------------------------------------------------------


def talk(interview: Interview, lines: list[str], path: Path) -> tuple[bool, list[str]]:
    said: list[str] = []
    feed = iter(lines)
    finished = Conversation(interview, path, lambda: next(feed, None), said.append).run()
    return finished, said


def test_every_command_is_understood(held: Interview, tmp_path: Path) -> None:
    path = tmp_path / "floor.yaml"
    lines = ["paint", "help", "", "?", "why", "purple", "don't know", "back", "unknown", "change slab_humidity", "wet"]
    lines += ["80 to 85 %", "change nonsense", "change pets y", "facts", "save", "later"]
    finished, said = talk(held, lines, path)
    text = "\n".join(said)
    assert not finished
    assert was_written_here(path)
    assert held.case.stated["slab_humidity"].text == "80 to 85 %"
    assert held.case.stated["pets"].text == "yes"
    assert held.advice().answer.asked is not None
    assert "Why: " in text
    assert 'I do not know the fact "nonsense"' in text
    assert "still possible" in text
    assert held.declined == {"country", "state"}
    assert text.count("leave it open") == 2  # once for "help", once for "?"


def test_what_an_answer_left_out_is_asked_for_once_more_in_the_readers_units(held: Interview, tmp_path: Path) -> None:
    _, said = talk(held, ["1", "uk", "living", "5 x 4 m", "2026", "facts", "later"], tmp_path / "x.yaml")
    text = " ".join(" ".join(said).split())
    assert text.count("And the rest of it:") == 1
    assert "And the rest of it: building year and slab age?" in text
    assert "For example: 6 x 7 m, 1998, 25 years" in text
    assert "For example: 1998, 25 years" in text
    assert "building year: 2026 " in f"{text} "
    assert BASE.conversation["on_floor"].ask in text
    assert held.case.stated.keys() >= {"area", "building_year"}
    assert "slab_age" not in held.case.stated


def test_of_an_answer_that_cannot_be_read_whole_the_rest_is_taken_and_told(held: Interview, tmp_path: Path) -> None:
    lines = ["1", "us", "no", "garage", "own", "2 car, 440 ft2, same age", "nothing I know", "2004", "later"]
    _, said = talk(held, lines, tmp_path / "x.yaml")
    text = " ".join(" ".join(said).split())
    assert 'I could not place "2 car" and "same age", and left that out.' in text
    assert "And the rest of it: building year and slab age?" in text
    assert held.case.stated["area"].text == "440 ft2"
    assert held.case.stated["building_year"].text == "2004 year"
    assert 'I cannot place "nothing I know"' in text  # of which nothing can be read


def test_a_question_chosen_by_change_is_left_by_back_and_takes_nothing_back(held: Interview, tmp_path: Path) -> None:
    lines = ["paint", "change slab_humidity", "wet", "back", "facts", "later"]
    _, said = talk(held, lines, tmp_path / "x.yaml")
    text = " ".join(" ".join(said).split())
    assert text.count(BASE.facts["slab_humidity"].ask) == 1
    assert text.count(BASE.conversation["country"].ask) == 2
    assert list(held.case.stated) == ["asked_about"]


def test_a_question_tells_what_its_answers_would_do(held: Interview, tmp_path: Path) -> None:
    held.answer("on_floor", Statement("black_adhesive"))  # that may hold asbestos, so its age is asked for at once
    _, said = talk(held, ["why", "later"], tmp_path / "x.yaml")
    assert any("What the answer would do" in line for line in said)


def test_back_goes_as_far_as_the_first_answer_and_then_says_so(held: Interview, tmp_path: Path) -> None:
    _, said = talk(held, ["dk", "dk", "back", "purple", "back", "back", "later"], tmp_path / "x.yaml")
    assert not held.case.stated
    text = " ".join(" ".join(said).split())
    assert "nothing to take back" in text
    assert text.count(BASE.conversation["reason"].ask) == 2


def test_back_after_a_change_brings_what_was_said_before(held: Interview, tmp_path: Path) -> None:
    lines = ["change pets no", "change pets yes", "back", "later"]
    _, said = talk(held, lines, tmp_path / "x.yaml")
    assert held.case.stated["pets"].text == "no"
    assert "  pets is no again." in said
    assert BASE.facts["pets"].ask not in said  # what holds again need not be asked again


def test_back_after_the_only_answer_to_a_fact_asks_for_it_again(held: Interview, tmp_path: Path) -> None:
    _, said = talk(held, ["change pets no", "back", "later"], tmp_path / "x.yaml")
    (taken_back,) = (at for at, line in enumerate(said) if line == "  Took that answer back.")
    asked = said.index(BASE.facts["pets"].ask)
    assert taken_back < asked


@pytest.mark.parametrize(("fact", "offered"), [("pets", ["    yes or no"]), ("setting", None)])
def test_a_question_offers_yes_or_no_or_each_choice(
    held: Interview, tmp_path: Path, fact: str, offered: list[str] | None
) -> None:
    _, said = talk(held, [f"change {fact}", "later"], tmp_path / "x.yaml")
    asked = said.index(BASE.facts[fact].ask)
    why = next(at for at, line in enumerate(said) if at > asked and line.startswith("  Why: "))
    lines = said[asked + 1 : why]
    if offered is None:
        offered = [f"    {place} {label('value', each)}" for place, each in enumerate(BASE.facts[fact].choices, 1)]
    assert lines == offered


def test_input_that_ends_after_a_bad_answer_is_saved_and_says_so(held: Interview, tmp_path: Path) -> None:
    finished, said = talk(held, ["purple"], tmp_path / "x.yaml")
    assert not finished
    text = " ".join(" ".join(said).split())
    assert "ended before anything was answered" in text
    assert "Saved in" in text
    assert (tmp_path / "x.yaml").exists()


def test_after_the_last_question_an_answer_can_still_be_changed(held: Interview, tmp_path: Path) -> None:
    finished, said = talk(held, ["change active_leak yes", "what now", "back", "later"], tmp_path / "x.yaml")
    assert not finished
    assert any(line.startswith("Certain") for line in said)
    assert not held.case.stated


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Don’t know.", "unknown"),
        ("dont know", "unknown"),
        ("82", "82 %"),
        ("80 to 85", "80 to 85 %"),
        ("82 % by tester", "82 %"),
    ],
)
def test_what_people_type(typed: str, meant: str) -> None:
    assert read_answer("slab_humidity", BASE.facts["slab_humidity"], typed, TODAY).text == meant


def test_a_bare_figure_is_no_answer_where_it_could_be_two_things(held: Interview) -> None:
    statement = read_answer("emission_rate", BASE.facts["emission_rate"], "5", TODAY)
    with pytest.raises(BadCase, match="no unit"):
        held.answer("emission_rate", statement)


def test_a_word_of_the_question_finds_the_fact(held: Interview, tmp_path: Path) -> None:
    _, said = talk(held, ["change humidity", "change pet yes", "change", "later"], tmp_path / "x.yaml")
    assert any(line.startswith('  "humidity" may mean: slab_humidity') for line in said)
    assert held.case.stated["pets"].text == "yes"
    assert any("Change which fact?" in line for line in said)


def test_a_place_that_cannot_be_saved_to_is_refused_and_the_old_one_kept(held: Interview, tmp_path: Path) -> None:
    _, said = talk(held, ["change pets yes", "save notes.txt", "save nowhere/x.yaml", "later"], tmp_path / "x.yaml")
    refused = "\n".join(said)
    assert "allowed: .yaml, .yml" in refused
    assert "nowhere" in refused
    assert [path.name for path in tmp_path.iterdir()] == ["x.yaml"]


def test_dates_and_names_come_with_a_test(held: Interview, tmp_path: Path) -> None:
    lines = ["change slab_humidity 88 % on 2026-11-02 by testing firm", "change surface_ph 11 on 2031-01-01"]
    talk(held, lines, tmp_path / "x.yaml")
    assert held.case.stated["slab_humidity"] == Statement("88 %", date(2026, 11, 2), "testing firm")
    assert "surface_ph" not in held.case.stated


def test_lines_fit_a_narrow_terminal(held: Interview, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    _, said = talk(held, ["why", "dk", "help", "facts"], tmp_path / "x.yaml")
    lines = [line for text in said for line in text.splitlines()]
    assert max(len(line) for line in lines) < 40
    assert not any("\x1b" in line for line in lines)


# ---- the command -----------------------------------------------------------------------------------------------


def at_terminal(folder: Path, *arguments: str) -> Any:
    """The interview at a terminal; patient, since on a busy machine the start alone may take a minute."""
    env = {**os.environ, "COLUMNS": "72", "TERM": "dumb"}
    command = [*ADVISOR[1:], "interview", *arguments]
    return pexpect.spawn(ADVISOR[0], command, cwd=str(folder), env=env, encoding="utf-8", timeout=300)


def test_through_a_pseudo_terminal_with_bad_answers_back_change_and_interruption(tmp_path: Path) -> None:
    child = at_terminal(tmp_path, "floor.yaml")
    first, second = "What brings you", "Where is the floor"
    child.expect(first)
    child.expect("> ")
    child.sendline("no such thing at all")
    child.expect("Allowed:")
    child.expect("> ")
    child.sendline("?")
    child.expect("leave it open")
    child.expect("> ")
    child.sendline("don't know")
    child.expect("still possible")
    child.expect(second)
    child.expect("> ")
    child.sendline("back")
    child.expect(first)
    child.expect("> ")
    child.sendline("back")
    child.expect("nothing to take")
    child.expect("> ")
    child.sendline("change slab_humidity")
    child.expect_exact(BASE.facts["slab_humidity"].ask[:40])
    child.expect("> ")
    child.sendline("damp, I think")
    child.expect("How to find out")
    child.expect("> ")
    child.sendline("back")
    child.expect(first)
    child.expect("> ")
    child.sendline("change slab_humidity 97 %")
    child.expect("Fell:")
    child.expect("still possible")
    child.expect("> ")
    child.sendline("change slab_humidity 60 %")
    child.expect("Came back:")
    child.expect("> ")
    child.sendintr()
    child.expect("Saved in")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 130
    saved = read_case(tmp_path / "floor.yaml", BASE)
    assert {name: each.text for name, each in saved.stated.items()} == {"slab_humidity": "60 %"}
    assert [path.name for path in tmp_path.iterdir()] == ["floor.yaml"]  # nothing half-written beside it

    again = at_terminal(tmp_path, "floor.yaml")
    again.expect("> ")
    again.sendline("facts")
    again.expect("in-situ humidity of the slab: 60 %")
    again.expect("> ")
    again.sendline("change active_leak yes")
    again.expect("Stop: call")
    again.expect("Certain:")
    again.expect("> ")
    again.sendline("")
    again.expect("STOP. Call")
    again.expect(pexpect.EOF)
    again.close()
    assert again.exitstatus == 0
    assert "active_leak" in read_case(tmp_path / "floor.yaml", BASE).stated


def test_in_a_pipe_it_asks_answers_and_ends_in_advice_without_colour(tmp_path: Path) -> None:
    done = subprocess.run(
        [*ADVISOR, "interview", "floor.yaml"],
        cwd=tmp_path,
        input="?\ndon't know\nchange pets yes\ndone\n",
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "COLUMNS": "60"},
    )
    assert done.returncode == 0, done.stderr
    assert "\x1b" not in done.stdout
    assert "Ask next" in done.stdout
    assert "Traceback" not in done.stderr
    assert max(len(line) for line in done.stdout.splitlines()) <= 60
    assert read_case(tmp_path / "floor.yaml", BASE).stated["pets"].text == "yes"


def test_bytes_that_are_no_text_and_an_early_end_are_told_and_saved(tmp_path: Path) -> None:
    done = subprocess.run(
        [*ADVISOR, "interview", "floor.yaml"],
        cwd=tmp_path,
        input=b"\xff\xfe purple\n",
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert b"no advice" in done.stdout
    assert (tmp_path / "floor.yaml").exists()


def test_a_file_of_ones_own_is_never_written_over(tmp_path: Path) -> None:
    own = tmp_path / "mine.yaml"
    own.write_text("# my notes\nfacts: {pets: yes}\n")
    own.chmod(0o600)
    done = subprocess.run(
        [*ADVISOR, "interview", "mine.yaml"], cwd=tmp_path, input="later\n", capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert own.read_text() == "# my notes\nfacts: {pets: yes}\n"
    answers = tmp_path / "mine-answers.yaml"
    assert read_case(answers, BASE).stated["pets"].text == "yes"
    assert answers.stat().st_mode & 0o777 == 0o600


def test_an_interrupt_before_the_first_answer_is_no_traceback(tmp_path: Path) -> None:
    child = at_terminal(tmp_path)
    child.expect("> ")
    child.kill(signal.SIGINT)
    child.expect("Saved in interview.yaml")
    rest = child.read()
    assert "Traceback" not in rest
    child.close()
    assert child.exitstatus == 130


def test_going_on_is_the_same_as_having_told_each_in_turn() -> None:
    """A page begins anew with each request; what it asks next hangs on nothing but what was said."""
    told = interview_about(BASE, today=TODAY)
    earlier = []
    for name in ("reason", "place", "seen", "stands"):
        said = read_opening(BASE, BASE.conversation[name], "6" if name == "place" else "1", TODAY, told.case.stated)
        told.tell(OPENING + name, said)
        assert told.memory == working_memory(BASE, told.case.facts)
        assert told.settled == told.certainty.settled
        earlier.append((OPENING + name, said))
    blank = working_memory(BASE, {})
    resumed = Interview(told.reasoner, told.judge, TODAY, earlier=earlier, like=blank)
    assert resumed.memory == told.memory
    assert resumed.case == told.case
    assert (resumed.asked, resumed.upcoming()) == (told.asked, told.upcoming())
    for each in (told, resumed):
        each.undo()
    assert resumed.case == told.case
    for each in (told, resumed):
        each.close()


def test_a_bad_answer_is_refused_in_the_words_in_which_it_was_asked_for(held: Interview, tmp_path: Path) -> None:
    _, said = talk(
        held,
        ["change on_floor", "make it nice", "back", "change slab_humidity", "wet", "back", "later"],
        tmp_path / "x",
    )
    text = " ".join(" ".join(said).split())
    assert '"make it nice" is none of these answers' in text
    assert f"Allowed: 1 {label('value', BASE.facts['on_floor'].choices[0])}" in text
    assert '"wet": there is no number in it' in text
    assert "on_floor" not in text
    assert "slab_humidity" not in text


# ---- what brings somebody, and going on later --------------------------------------------------------------------


def test_what_went_wrong_is_asked_for_kept_and_told(tmp_path: Path) -> None:
    """In the order of a conversation: what, where, when, and of a film that lets go the back of a chip."""
    said: dict[str, str] = {}
    for reason, what in (("2", "blisters"), ("3", "it is slippery")):
        held, path = interview_about(BASE, today=TODAY), tmp_path / f"{reason}.yaml"
        _, told = talk(held, [reason, what, "at the walls", "years", "white salts", "us", "later"], path)
        held.close()
        text = " ".join(" ".join(told).split())
        order = [held.asked.index(OPENING + each) for each in ("reason", "trouble_place", "trouble_time", "country")]
        assert order == sorted(order)
        assert (f"{OPENING}chip" in held.asked) == (reason == "2")
        kept = read_case(path, BASE, TODAY)
        assert kept.facts["trouble_where"].choice == "at_walls"
        assert kept.facts["trouble_since"].choice == "years"
        said[reason] = kept.facts["trouble"].choice
        again = interview_about(BASE, kept, TODAY)
        _, told = talk(again, ["later"], path)
        again.close()
        text = " ".join(" ".join(told).split())
        assert f"{label('fact', 'trouble')}: {label('value', said[reason])}" in text
        found = find_causes(again.reasoner, kept, TODAY)
        assert found.complaints[0].complaint == said[reason]
    assert said == {"2": "blisters", "3": "slippery"}


def test_each_reason_is_kept_as_another(tmp_path: Path) -> None:
    kept = set()
    for place in range(1, 1 + len(BASE.conversation["reason"].answers)):
        held = interview_about(BASE, today=TODAY)
        talk(held, [str(place), "later"], tmp_path / f"{place}.yaml")
        held.close()
        kept.add(tuple(sorted((name, each.text) for name, each in held.case.stated.items())))
    assert len(kept) == len(BASE.conversation["reason"].answers)


def test_that_something_went_wrong_is_known_though_nobody_can_say_what(tmp_path: Path) -> None:
    held = interview_about(BASE, today=TODAY)
    talk(held, ["3", "don't know", "later"], tmp_path / "x.yaml")
    held.close()
    says = find_causes(held.reasoner, held.case, TODAY).sentence
    blank = find_causes(held.reasoner, make_case(BASE, {}, TODAY), TODAY).sentence
    assert says != blank
    assert says.startswith("Something went wrong")


ANSWERS = {  # to each question one that leaves as much open as an answer can
    "reason": "1",
    "country": "uk",
    "place": "office",
    "whose": "business",
    "size": "30 m2, 1998, 25 years",
    "on_floor": "bare",
    "stands": "hot water",
    "look": "the concrete itself",
    "work": "a hired crew",
    "means": "don't know",
    "people": "dogs",
    "seen": "open cracks",
    "matters": "none",
}


def test_what_was_answered_or_declined_is_not_asked_again_later(tmp_path: Path) -> None:
    """Broken off after each question in turn: the next time it goes on with another one."""
    assert ANSWERS.keys() <= BASE.conversation.keys()
    case, answered = None, list[str]()
    for _ in range(len(ANSWERS) + 1):
        held = interview_about(BASE, case, TODAY)
        coming = held.upcoming()
        if coming.opening:
            assert coming.opening not in answered
            screen = screen_of(held, OPENING + coming.opening)
            held.tell(screen.asked, screen.reads(ANSWERS[coming.opening]))
            save_case(held.case, tmp_path / "x.yaml")
            case = read_case(tmp_path / "x.yaml", BASE, TODAY)
            answered.append(coming.opening)
        held.close()
    assert {"reason", "country", "place", "size", "on_floor", "stands", "look", "work", "means"} <= {*answered}


def test_no_question_is_asked_again_of_who_does_not_know(tmp_path: Path) -> None:
    case, answered = None, list[str]()
    for _ in range(len(BASE.conversation)):
        held = interview_about(BASE, case, TODAY)
        if opening := held.upcoming().opening:
            assert opening not in answered
            held.tell(OPENING + opening, screen_of(held, OPENING + opening).reads("don't know"))
            save_case(held.case, tmp_path / "x.yaml")
            case = read_case(tmp_path / "x.yaml", BASE, TODAY)
            answered.append(opening)
        held.close()
    assert "size" in answered


def test_a_settled_interview_stays_settled_when_it_is_gone_on_with(tmp_path: Path) -> None:
    """The questions answered before count: of a settled answer no more is asked."""
    given = {name: Statement("no") for name in ("pets", "joints_move", "active_leak", "floor_heating")}
    held = interview_about(BASE, make_case(BASE, given, TODAY), TODAY)
    for name, text in ANSWERS.items():
        held.tell(OPENING + name, screen_of(held, OPENING + name).reads(text))
    before = held._answered
    save_case(held.case, tmp_path / "x.yaml")
    again = interview_about(BASE, read_case(tmp_path / "x.yaml", BASE, TODAY), TODAY)
    assert again._answered == before
    held.close()
    again.close()


def test_the_summary_speaks_in_sentences_and_in_the_readers_units(held: Interview, tmp_path: Path) -> None:
    lines = ["1", "another state", "living", "own", "12 x 14 ft, 1960, 40 years", "bare", "none", "later"]
    talk(held, lines, tmp_path / "x.yaml")
    again = interview_about(BASE, read_case(tmp_path / "x.yaml", BASE, TODAY), TODAY)
    _, told = talk(again, ["later"], tmp_path / "x.yaml")
    again.close()
    text = " ".join(" ".join(told).split())
    assert "168 ft" in text
    assert "15.6" not in text
    assert "it lies in a state other than California" in text
    assert "the floor would not do as it is" in text
    assert "hot and cold never meet on it" in text
    for raw in ("state: other", "as it is: no", "thermal shock: no"):
        assert raw not in text


def test_every_answer_that_is_shown_is_taken_as_it_is_shown(held: Interview) -> None:
    """With its article or without, of opening questions and of those about one fact."""
    asked = [OPENING + name for name in BASE.conversation]
    asked += [name for name, kind in BASE.facts.items() if kind.ask and kind.type == "choice" and not kind.values_from]
    for each in asked:
        screen = screen_of(held, each)
        if screen.several:
            continue
        for choice in screen.choices:
            wanted = screen.reads(choice.typed)
            for text in (choice.says, f"{choice.says}.", choice.says.removeprefix("a "), choice.says.capitalize()):
                got = screen.reads(text)
                assert {name: one.text for name, one in got.items()} == {name: one.text for name, one in wanted.items()}


def test_the_beginning_of_what_is_shown_will_do_and_a_refusal_names_no_id(held: Interview, tmp_path: Path) -> None:
    screen = screen_of(held, f"{OPENING}on_floor")
    for typed, value in (
        ("a sealer that soaked in", "penetrating_sealer"),
        ("a thick coating", "thick_coating"),
        ("thin clear sealer", "film_sealer"),
        ("a cement overlay", "overlay"),
        ("a stain", "stain"),
        ("a polish", "polish"),
    ):
        read = screen.reads(typed)["on_floor"]
        assert read_fact(BASE, "on_floor", read.text, "").choice == value
    with pytest.raises(BadCase) as refused:
        screen.reads("a thick coatin")
    assert "_" not in str(refused.value)
    assert 'Did you mean "a thick coating' in str(refused.value)


@pytest.mark.parametrize("stray", ["what", "What is", "it", "the", "who"])
def test_a_stray_word_is_no_answer(held: Interview, stray: str) -> None:
    for name, opening in BASE.conversation.items():
        if opening.answers:
            with pytest.raises(BadCase):
                read_opening(BASE, BASE.conversation[name], stray, TODAY)
