"""Lessons: answers are checked against the rule base as it is; sets cover what they should; progress is kept."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import pexpect
import pytest
from typer.testing import CliRunner

from advisor.answer.judging import judge_of
from advisor.answer.ranking import Recommendation
from advisor.asking.explaining import Explained
from advisor.asking.outlook import Outlook
from advisor.cli.verbs import app
from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadRequest
from advisor.facts.case import Case, read_case
from advisor.facts.likelihoods import has_its_turn
from advisor.facts.memory import working_memory
from advisor.pages.blocks import Listing
from advisor.pages.html import to_html
from advisor.teaching.exercises import WhatFalls, WhatToAsk, WhichHazards
from advisor.teaching.lesson_sets import ENOUGH, cover, lesson_set, rules_of, write_cases
from advisor.teaching.lessons import Lesson, played
from advisor.teaching.sheets import ENDINGS, answers_page, sheet_page
from advisor.validation.loading import read_rulebase
from explanations.errors import CannotExplain, CannotWrite
from explanations.lessons import (
    KINDS,
    Mark,
    Progress,
    Taken,
    answers,
    by_topic,
    read_progress,
    sheet,
    summary,
    write_progress,
)
from explanations.wording import label
from tests.explained import demos, random_floors, small_floor, small_reasoner, the_reasoner
from tests.turning_trials import stated

SMALL = Path(__file__).parent.parent / "small_rules"


def test_right_answers_are_marked_right_on_shipped_and_random_floors() -> None:
    kinds = set()
    for told in (*demos().values(), *random_floors(2)):
        lesson = Lesson(told.reasoner, told.case, rounds=3)
        questions, marks = played(lesson)
        assert [mark.kind for mark in marks] == [question.kind for question in questions]
        assert all(mark.points == 2 for mark in marks), [mark for mark in marks if mark.points < 2]
        kinds |= {mark.kind for mark in marks}
    assert kinds == {"ask", "fall", "conclude", "answer", "turn", "hazard"}


def test_wrong_answers_are_marked_wrong_and_name_what_to_re_read() -> None:
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case, rounds=3)
    for exercise in lesson.exercises():
        wrong = {"ask": "the weather", "fall": "marble, slate", "hazard": "marble, slate"}.get(exercise.kind, "z")
        mark = lesson.answer(exercise, wrong)
        assert mark.points == 0
        assert mark.text.startswith("Not so.")
        if exercise.kind in ("ask", "conclude"):
            assert mark.rules
    assert all(rule in told.base.rules for mark in lesson.marks for rule in mark.rules)


def test_what_would_change_your_mind_is_so_by_the_engine_and_the_others_change_nothing() -> None:
    tried = 0
    for told in (*demos().values(), *random_floors(2)):
        lesson = Lesson(told.reasoner, told.case, rounds=1)
        now = Recommendation.of(told.advice.answer.kind, told.advice.answer.leading)
        called = {label("fact", name): name for name in told.base.facts}
        for exercise in lesson.exercises():
            lesson.answer(exercise, exercise.model())
            if exercise.kind != "turn":
                continue
            right = exercise.model()
            for key, words in exercise.question.options:
                name, _, values = words.partition(": ")
                if "years" in values:  # told in whole years, reckoned in days
                    continue
                value = re.split(r",? or |, ", values)[0]
                other = stated(told.reasoner, told, called[name], value)
                assert other is None or (other != now) == (key == right), words
                tried += other is not None
    assert tried > 8


def test_a_question_that_settles_as_much_is_as_right_and_what_each_answer_does_is_told() -> None:
    told = demos()["old_tile_kitchen"]
    lesson = Lesson(told.reasoner, told.case, rounds=1)
    exercise = next(lesson.exercises())
    memory = working_memory(told.base, exercise.floor.case.facts)
    look = Outlook(judge_of(told.reasoner), memory)
    weighed = ((settles / cost, fact) for fact, settles, cost in look.ranked() if fact not in look.pressing)
    ranked = [(worth, fact) for worth, fact in weighed if has_its_turn(told.base, fact, memory)]
    best, fact = ranked[0]
    assert look.pressing == {"on_floor"}  # nobody has said it, and the answer waits for it: as right as the best
    assert exercise.mark("on_floor").points == 2
    near = [name for worth, name in ranked if worth >= 0.5 * best]
    assert near  # how many come near hangs on the floors drawn
    assert [exercise.mark(name).points for name in near] == [2] * len(near)
    assert exercise.mark("rubber_mats").points < 2
    branch = look.branches(fact)[0]
    assert branch.stretch.lower() in exercise.mark(fact).because.lower()


def test_a_question_no_answer_to_which_changes_anything_is_marked_wrong_and_one_that_does_tells_what() -> None:
    """Each value of some questions that wait is stated, and run through the engine."""
    wrong = part = 0
    for told in (demos()["old_tile_kitchen"], demos()["untested_garage"]):
        lesson = Lesson(told.reasoner, told.case, rounds=2)
        for exercise in lesson.exercises():
            if isinstance(exercise, WhatToAsk):
                floor = exercise.floor
                known = Explained(told.reasoner, floor.case, floor.today)
                now = Recommendation.of(floor.advice.answer.kind, floor.advice.answer.leading)
                for question in Random(len(floor.known)).sample(floor.asked, 8):
                    mark, kind = exercise.mark(question.fact), told.base.facts[question.fact]
                    others = {stated(told.reasoner, known, question.fact, each) for each in kind.choices} - {None, now}
                    if others:
                        assert mark.points, question.fact
                    if mark.points == 0:
                        assert "stays" in mark.because
                        wrong += 1
                    elif mark.points == 1:
                        part += 1
                        assert re.search(
                            r"can change the answer \(.+: .+\)|only together with (another \(|several)", mark.because
                        )
            lesson.answer(exercise, exercise.model())
    assert wrong
    assert part


def test_the_floors_own_hazards_are_always_among_those_to_choose_from() -> None:
    floors = 0
    for told in (*demos().values(), *random_floors(2)):
        lesson = Lesson(told.reasoner, told.case, rounds=0)
        for exercise in lesson.exercises():
            lesson.answer(exercise, exercise.model())
            if isinstance(exercise, WhichHazards):
                own = {each.caution for each in exercise.floor.advice.hazards if each.floor}
                assert own <= exercise.hazards.keys()
                assert exercise.hazards.keys() - {each.caution for each in exercise.floor.advice.hazards}
                floors += len(own) > 1
    assert floors > 1


def test_a_fact_is_asked_for_by_its_name_by_what_it_is_called_or_by_a_word_of_it() -> None:
    told = demos()["untested_garage"]
    exercise = next(Lesson(told.reasoner, told.case, rounds=1).exercises())
    best = exercise.model()
    for said in (best, best.replace("_", " "), label("fact", best), label("fact", best).upper()):
        assert exercise.mark(said).points == 2, said
    assert "There is no fact" not in exercise.mark("permeance").because  # one alone has the word
    assert '"slab_humidity"' in exercise.mark("humidity").because  # several have the word: which one?
    assert "There is no fact" in exercise.mark("the colour of the door").because


def test_a_reason_that_several_rules_give_is_told_once() -> None:
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case, rounds=1)
    ask, fall = (next(each) for each in [lesson.exercises()] * 2)
    sentences = [each for each in re.split(r"(?<=\.) ", fall.mark("none").because) if each]
    assert ask.kind == "ask"
    assert len(sentences) > 1
    assert len(set(sentences)) == len(sentences)


def test_test_first_is_explained_by_why_the_test() -> None:
    told = demos()["untested_garage"]
    assert told.advice.answer.kind == "test first"
    _, marks = played(Lesson(told.reasoner, told.case, rounds=1))
    (mark,) = [each for each in marks if each.kind == "answer"]
    assert "humidity inside the slab" in mark.because
    needs = {c.name for f in told.advice.trace.firings if f.rule == mark.rules[0] for c in f.conclusions}
    assert any(told.base.needs[each].decides for each in needs if each in told.base.needs)


def test_an_exam_tells_nothing_until_the_end_and_gives_a_mark_for_each_topic() -> None:
    marks = [
        Mark(kind="answer", said="a", points=2, best="", because="", rules=("damp.leak", "damp.mend")),
        Mark(kind="fall", said="b", points=0, best="", because="", rules=("money.dear",)),
        Mark(kind="fall", said="b", points=1, best="", because="", rules=("damp.leak",)),
    ]
    assert by_topic(marks, lambda rule: rule.partition(".")[0]) == [
        "money: 0 of 2 points (0 %)",
        "damp: 3 of 4 points (75 %)",
    ]
    command = [sys.executable, "-m", "advisor", "lessons", "--topic", "proof", "--exam"]
    ran = subprocess.run(command, input="none\n" * 400, capture_output=True, text=True, check=True)
    assert "Right." not in ran.stdout
    assert "A mark for each topic:" in ran.stdout


def test_what_falls_is_what_the_engine_rules_out_next() -> None:
    """By two runs of the engine of the test's own, before and after the facts came to light."""
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case, rounds=4)
    for exercise in lesson.exercises():
        if isinstance(exercise, WhatFalls):
            before, after = (
                {c.finish for rule in told.reasoner.fired(facts) for c in rule.conclusions if c.kind == "rule_out"}
                for facts in (exercise.before.known, exercise.floor.known)
            )
            falls = sorted(after - before)
            assert lesson.answer(exercise, ", ".join(falls) or "none").points == 2
            extra = next(finish for finish in told.base.finishes if finish not in after)
            assert lesson.answer(exercise, ", ".join([*falls, extra])).points < 2
        else:
            lesson.answer(exercise, exercise.model())


def test_part_of_what_falls_is_right_in_part() -> None:
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case)
    for exercise in lesson.exercises():
        model = exercise.model()
        if exercise.kind == "fall" and "," in model:
            assert lesson.answer(exercise, model.partition(",")[0]).points == 1
            return
        lesson.answer(exercise, model)
    pytest.fail("no question with several finishes came up")


def test_a_finish_may_be_named_by_its_name_or_its_id() -> None:
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case)
    for exercise in lesson.exercises():
        model = exercise.model()
        if exercise.kind == "fall" and model != "none":
            names = ", ".join(told.base.finishes[each].name.upper() for each in model.split(", "))
            assert lesson.answer(exercise, f" {names} . ").points == 2
            return
        lesson.answer(exercise, model)
    pytest.fail("no finish fell")


def test_the_answers_are_the_rule_bases_and_no_scripts(tmp_path: Path) -> None:
    """Change a price, and what was right is wrong: a wax for 20 USD/m2 does not fall where 25 USD/m2 can be spent."""
    for path in SMALL.iterdir():
        text = path.read_text(encoding="utf-8").replace("price: {is: 40 usd_m2", "price: {is: 20 usd_m2")
        (tmp_path / path.name).write_text(text, encoding="utf-8")
    verdicts = []
    for base in (small_reasoner().base, read_rulebase(tmp_path)):
        lesson = Lesson(Reasoner(base), small_floor().case, rounds=2)
        said: dict[str, list[str]] = {}
        for exercise in lesson.exercises():
            said.setdefault(exercise.kind, []).append(exercise.model())
            lesson.answer(exercise, exercise.model())
        verdicts.append(said)
    assert verdicts[0]["fall"] != verdicts[1]["fall"]


def test_choices_hold_one_rule_that_fired_and_others_that_did_not() -> None:
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case)
    seen = 0
    for exercise in lesson.exercises():
        if exercise.kind == "conclude":
            fired = {rule.rule for rule in told.reasoner.fired(exercise.floor.known)}
            rules = [words.rpartition("[")[2].rstrip("]") for _, words in exercise.question.options]
            assert sum(rule in fired for rule in rules) == 1
            assert len(rules) > 1
            seen += 1
        lesson.answer(exercise, exercise.model())
    assert seen


def test_the_same_case_gives_the_same_lesson() -> None:
    told = demos()["untested_garage"]
    sheets = [sheet("Lesson", "", played(Lesson(told.reasoner, told.case, 3))[0]) for _ in range(2)]
    assert sheets[0] == sheets[1]


def test_the_sheet_holds_no_answers(golden: Callable[[str, str], None]) -> None:
    told = small_floor()
    lesson = Lesson(told.reasoner, told.case, 2)
    questions, marks = played(lesson)
    asked, solved = sheet("A lesson", lesson.opening, questions), answers("A lesson", marks)
    assert asked.count("Answer: ____") == len(questions)
    for number, mark in enumerate(marks, start=1):
        assert mark.because not in asked or not mark.because
        assert f"\n{number}. " in solved
    assert all(len(line) <= 80 for line in (asked + solved).splitlines())
    golden("lesson_small.txt", asked + "\n----\n\n" + solved)


# ---- sets of lessons -------------------------------------------------------------------------------------------------


def test_a_set_exercises_every_rule_of_its_topics_and_runs_from_easy_to_hard() -> None:
    reasoner = the_reasoner()
    wanted = rules_of(reasoner.base, ["workday"])
    drawn = lesson_set(reasoner, wanted)
    fired = set()
    for each in drawn.lessons:
        here = {rule.rule for rule in reasoner.fired(each.case.facts)}
        assert set(each.rules) == here & set(wanted)
        fired |= here
    assert fired >= set(wanted) - set(drawn.left_out)
    assert not drawn.left_out
    hardness = [each.hardness for each in drawn.lessons]
    assert hardness == sorted(hardness)
    assert len(drawn.lessons) < len(wanted)


@pytest.mark.parametrize("topic", ["vapour", "money", "new_slab"])
def test_the_easiest_lesson_asks_questions_of_every_kind(topic: str) -> None:
    """A floor with one fact would leave nothing to ask for. What a floor is for still fires on it."""
    reasoner = the_reasoner()
    wanted = rules_of(reasoner.base, [topic])
    drawn = lesson_set(reasoner, wanted)
    questions, marks = played(Lesson(reasoner, drawn.lessons[0].case))
    assert {question.kind for question in questions} == set(KINDS)
    assert all(mark.points == 2 for mark in marks)
    assert all(sum(value.known for value in each.case.facts.values()) >= ENOUGH for each in drawn.lessons)
    fired = {rule.rule for each in drawn.lessons for rule in reasoner.fired(each.case.facts)}
    assert fired >= set(wanted) - set(drawn.left_out)


def test_all_rules_of_a_small_rule_base_are_exercised() -> None:
    reasoner = small_reasoner()
    drawn = lesson_set(reasoner, rules_of(reasoner.base, []))
    fired = {rule.rule for each in drawn.lessons for rule in reasoner.fired(each.case.facts)}
    assert fired == set(reasoner.base.rules)


@pytest.mark.parametrize("seed", range(8))
def test_the_cover_is_least_by_trying_all(seed: int) -> None:
    rng = Random(seed)
    table = [[rng.random() < 0.35 for _ in range(9)] for _ in range(10)]
    for column in range(9):
        table[rng.randrange(10)][column] = True
    least = next(
        size
        for size in range(1, 11)
        if any(all(any(table[row][c] for row in some) for c in range(9)) for some in combinations(range(10), size))
    )
    chosen = cover(table, [rng.randrange(5) for _ in table])
    assert all(any(table[row][column] for row in chosen) for column in range(9))
    assert len(chosen) == least


def test_the_floors_of_a_set_are_written_as_cases_that_read_back_alike(tmp_path: Path) -> None:
    reasoner = the_reasoner()
    drawn = lesson_set(reasoner, rules_of(reasoner.base, ["workday"]))
    paths = write_cases(drawn, tmp_path / "set")
    for path, each in zip(paths, drawn.lessons, strict=True):
        read = read_case(path, reasoner.base)
        assert read.floor == each.case.floor
        again = {rule.name for rule in reasoner.fired(read.facts)}
        assert again == {rule.name for rule in reasoner.fired(each.case.facts)}
    with pytest.raises(CannotWrite, match="not empty"):
        write_cases(drawn, tmp_path / "set")


def test_a_topic_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadRequest, match="workday"):
        rules_of(the_reasoner().base, ["workdays"])


# ---- progress --------------------------------------------------------------------------------------------------------


def mark(points: int, *rules: str) -> Mark:
    return Mark(kind="ask", said="x", points=points, best="ask", because="So.", rules=rules)


def taken(*marks: Mark) -> Taken:
    return Taken(floor="f", date="2025-01-01", rule_base="x", marks=marks)


def test_progress_is_kept_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "mine.json"
    assert read_progress(path) == Progress()
    progress = Progress(lessons=(taken(mark(0, "a.b")),))
    write_progress(path, progress)
    assert read_progress(path) == progress
    path.write_text("{}{", encoding="utf-8")
    with pytest.raises(CannotExplain, match="no file of lessons"):
        read_progress(path)
    with pytest.raises(CannotExplain, match="no folder"):
        write_progress(tmp_path / "nowhere" / "mine.json", progress)


def test_a_rule_is_missed_until_it_is_got_right() -> None:
    first = taken(mark(0, "a.one", "a.two"), mark(1, "a.two"))
    assert Progress(lessons=(first,)).missed() == ["a.two", "a.one"]
    assert Progress(lessons=(first, taken(mark(2, "a.two")))).missed() == ["a.one"]


def test_the_summary_says_what_was_missed() -> None:
    text = summary([mark(2, "a.one"), mark(0, "a.two")])
    assert "2 of 4 points" in text
    assert "a.two" in text
    assert "a.one" not in text
    assert summary([]) == "No question was answered."


# ---- on the command line ---------------------------------------------------------------------------------------------


def test_a_lesson_in_the_terminal(tmp_path: Path) -> None:
    name = next(iter(demo_cases()))
    child = pexpect.spawn(
        sys.executable,
        ["-m", "advisor", "lesson", name, "--rounds", "1", "--progress", str(tmp_path / "mine.json")],
        timeout=60,
        encoding="utf-8",
    )
    child.expect("Which fact would you ask")
    child.expect("> ")
    child.sendline("?")
    child.expect("Answer by a letter")
    child.sendline("the weather")
    child.expect("Not so")
    child.expect("fall now")
    child.sendline("none")
    child.sendeof()
    child.expect("You have")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    kept = json.loads((tmp_path / "mine.json").read_text(encoding="utf-8"))
    assert [each["kind"] for each in kept["lessons"][0]["marks"]][:2] == ["ask", "fall"]


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_sheet_is_printed_with_the_answers_apart(ending: str, tmp_path: Path) -> None:
    name = next(iter(demo_cases()))
    asked, solved = (tmp_path / f"{each}{ending}" for each in "qa")
    run = CliRunner().invoke(app, ["lesson", name, "--rounds", "2", "--sheet", str(asked), "--answers", str(solved)])
    assert run.exit_code == 0, run.output
    if ending == ".pdf":
        for path in (asked, solved):
            content = path.read_bytes()
            assert content.startswith(b"%PDF")
            assert len(content) > 5000
        return
    questions, answered = (path.read_text(encoding="utf-8").replace("\\", "") for path in (asked, solved))
    assert "Answer: ____" in questions
    assert "Which fact would you ask for next?" in questions
    assert "Rules:" not in questions
    assert "Rules:" in answered
    assert "Answer: ____" not in answered


def test_the_sheet_and_its_answers_hold_the_same_in_every_format() -> None:
    told = demos()["untested_garage"]
    lesson = Lesson(told.reasoner, told.case, 2)
    questions, marks = played(lesson)
    asked, solved = sheet_page("A lesson", lesson.opening, questions), answers_page("A lesson", marks)
    words = [text for block in asked.blocks for text in getattr(block, "items", [getattr(block, "text", "")])]
    for number, question in enumerate(questions, start=1):
        assert f"Question {number}" in words
        assert question.prompt in words
        for told_line in question.told:
            assert told_line in words
        for _, option in question.options:
            assert any(option in text for text in words)
    for mark in marks:
        assert mark.because not in " ".join(words) or not mark.because
    (answered,) = [block.items for block in solved.blocks if isinstance(block, Listing)]
    assert len(answered) == len(questions), "numbered as the questions are"
    for mark, text in zip(marks, answered, strict=True):
        assert mark.because in text
    root = html5(to_html(asked))
    assert len(root.findall(".//h2")) == len(questions)


def html5(page: str) -> ElementTree.Element:
    """The page as a tree; refused unless it is well-formed."""
    body = page[page.index("<main>") : page.index("</main>") + len("</main>")]
    return ElementTree.fromstring(body)


def test_a_folder_for_a_set_is_not_made_where_its_own_folder_is_not_there(tmp_path: Path) -> None:
    run = CliRunner().invoke(app, ["lessons", "--topic", "new_slab", "--out", str(tmp_path / "none" / "set")])
    assert "there is no folder" in str(run.exception)
    assert not list(tmp_path.iterdir())


def test_a_case_without_facts_makes_a_lesson_of_what_is_asked_at_the_end() -> None:
    lesson = Lesson(the_reasoner(), Case("empty", "", {}))
    questions, marks = played(lesson)
    assert [question.kind for question in questions] == ["answer", "turn", "hazard"]
    assert marks[0].points == 2
