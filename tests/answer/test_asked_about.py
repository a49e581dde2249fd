"""The finish that the customer asks about: each verdict, its reason, and that it is said before the better choice."""

from __future__ import annotations

import shutil
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
import yaml
from rich.console import Console

import advisor
from advisor.answer.asked_about import asked_about
from advisor.asking.explaining import Explained
from advisor.asking.why import why_text
from advisor.asking.why_record import why_record
from advisor.errors import BadCase, BadRuleBase
from advisor.facts.case import read_fact
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice, AskedAbout
from advisor.pages.advice_report import print_advice
from advisor.pages.letter import letter_page
from advisor.pages.markdown import to_markdown
from advisor.validation.loading import read_rulebase, rules_folder
from explanations.wording import label
from tests.rule_folders import WORK, finish_entry

TODAY = date(2026, 11, 27)
ADVISER = advisor.load()
FLOOR = {"room": "garage", "on_floor": "bare", "exposure": "indoors", "area": "440 ft2"}


def advised(about: str, **facts: str) -> Advice:
    case = ADVISER.case({**FLOOR, **facts, "asked_about": about}, today=TODAY)
    return ADVISER.advise(case, TODAY, certainty=False)


def asked(about: str, **facts: str) -> AskedAbout:
    found = advised(about, **facts).answer.asked
    assert found
    return found


def test_no_with_the_number_that_rules_it_out() -> None:
    found = asked("paint", slab_humidity="92 %")
    assert (found.finish, found.verdict) == ("floor_paint", "no")
    assert "92 %" in found.sentence
    assert found.sentence.startswith("No, not one-part floor paint.")
    assert any(each.because in found.sentence for each in found.reasons)


def test_yes_if_with_what_comes_first() -> None:
    advice = advised("flake epoxy with a clear coat")
    found = advice.answer.asked
    assert found
    assert found.verdict == "yes if"
    standing = next(each for each in advice.standings if each.finish == "epoxy_flake")
    deciding = next(each for each in standing.first if each.decides)
    assert label("need", deciding.need) in found.sentence
    assert {each.rule for each in deciding.reasons} <= {each.rule for each in found.reasons}


def test_not_yet_where_something_comes_before_any_finish() -> None:
    """A floor that nobody may touch is not opened with a yes."""
    advice = advised("penetrating_densifier", active_leak="yes")
    assert advice.stops or advice.holds
    found = advice.answer.asked
    assert found
    assert found.verdict == "not yet"
    assert "Yes" not in found.sentence


def test_a_plain_yes_where_nothing_comes_first() -> None:
    """Whether on this floor, or on one where its needs are met: the verdict follows the standing."""
    advice = advised("penetrating_densifier")
    standing = next(each for each in advice.standings if each.finish == "penetrating_densifier")
    bare = standing.model_copy(update={"first": (), "verdict": "suits"})
    case = ADVISER.case({**FLOOR, "asked_about": "penetrating_densifier"}, today=TODAY)
    memory = working_memory(ADVISER.base, case.facts)
    praised = bare.model_copy(update={"points": tuple(each for each in standing.points if each.weighted > 0)})
    for leading, says in (
        ("penetrating_densifier", "best"),
        ("polished_natural", "nothing that you said speaks against"),
    ):
        answer = advice.answer.model_copy(update={"leading": leading})
        found = asked_about(memory, answer, (praised,), (), ())
        assert found
        assert (found.verdict, found.reasons) == ("yes", ())
        assert says in found.sentence


def test_a_yes_says_what_speaks_against_it_most_where_another_leads() -> None:
    """Epoxy in a sunny room can be had, and turns yellow: who is told yes alone would not know."""
    advice = advised("epoxy_solid", sunlight="strong")
    standing = next(each for each in advice.standings if each.finish == "epoxy_solid")
    bare = standing.model_copy(update={"first": (), "verdict": "suits"})
    case = ADVISER.case({**FLOOR, "sunlight": "strong", "asked_about": "epoxy_solid"}, today=TODAY)
    answer = advice.answer.model_copy(update={"leading": "polished_natural"})
    found = asked_about(working_memory(ADVISER.base, case.facts), answer, (bare,), (), ())
    assert found
    assert found.verdict == "yes"
    worst = min(each.weighted for each in standing.points)
    assert found.reasons[0].rule in {each.rule for each in standing.points if each.weighted == worst}
    assert found.reasons[0].because in found.sentence


@pytest.mark.parametrize("finish", sorted(ADVISER.base.finishes))
def test_any_finish_can_be_asked_about_by_its_id_and_by_its_name(finish: str) -> None:
    kind = ADVISER.base.facts["asked_about"]
    for said in (finish, ADVISER.base.finishes[finish].name, finish.replace("_", " ").upper()):
        case = ADVISER.case({"asked_about": said}, today=TODAY)
        assert case.facts["asked_about"].choice == finish
    assert set(kind.values) == set(ADVISER.base.finishes)


def test_a_name_that_two_finishes_have_goes_on_meaning_the_first(tmp_path: Path) -> None:
    """A shop's own copy under the same name is laid over all the same; it is asked about by its id."""
    theirs = {"aaa_copy": "epoxy_flake", "zzz_copy": "floor_paint", "mine": "epoxy_sand"}  # whatever their order
    for own, finish in theirs.items():
        entry = finish_entry(ADVISER.base, finish)
        entry["finish"]["id"] = own
        if own == "mine":
            entry["finish"]["name"] = "Epoxy-flake"  # spelled as the id of another
        (tmp_path / f"{own}.yaml").write_text(yaml.safe_dump(entry), encoding="utf-8")
    work = WORK[WORK.index("tasks:") :].replace("NAMES", ", ".join(theirs)).replace("[fumes]", "[]")
    (tmp_path / "work.yaml").write_text(work.replace("handbook", "from_memory"), encoding="utf-8")
    base = read_rulebase(rules_folder(), tmp_path)
    assert set(theirs) <= set(base.facts["asked_about"].values)
    says = {**{each.name: name for name, each in ADVISER.base.finishes.items()}, **{own: own for own in theirs}}
    says |= {each: each for each in ADVISER.base.finishes}
    for text, finish in says.items():
        assert read_fact(base, "asked_about", text, "asked_about").choice == finish


def test_two_finishes_that_claim_one_written_spelling_are_refused(tmp_path: Path) -> None:
    shutil.copytree(rules_folder(), tmp_path / "rules")
    file = tmp_path / "rules" / "vocabulary.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("polished_natural: [polish, ", "polished_natural: [paint, "), encoding="utf-8")
    with pytest.raises(BadRuleBase, match='"paint" would stand for more than one value of asked_about'):
        read_rulebase(tmp_path / "rules")


def test_nothing_is_said_where_nobody_asked_and_nothing_else_changes() -> None:
    plain = ADVISER.advise(ADVISER.case(FLOOR, today=TODAY), TODAY, certainty=False)
    about = advised("paint")
    assert plain.answer.asked is None
    assert about.answer.model_copy(update={"asked": None}) == plain.answer
    assert about.standings == plain.standings


def test_an_unknown_finish_is_refused_with_the_nearest() -> None:
    with pytest.raises(BadCase, match='Did you mean "floor_paint"'):
        ADVISER.case({"asked_about": "floor pain"}, today=TODAY)


def test_it_is_said_first_in_the_advice_the_letter_and_the_sentence() -> None:
    advice = advised("paint", slab_humidity="92 %")
    said = advice.answer.asked
    assert said
    file = StringIO()
    print_advice(advice, Console(file=file, width=200))
    printed = file.getvalue()
    assert 0 < printed.index(said.sentence[:40]) < printed.index(advice.answer.sentence[:40])
    case = ADVISER.case({**FLOOR, "slab_humidity": "92 %", "asked_about": "paint"}, floor="Ours", today=TODAY)
    told = Explained(ADVISER.reasoner, case, TODAY)
    assert why_text(told, None, "", "sentence", False).startswith("No, not one-part floor paint.")
    record = why_record(told, None, "").model_dump()
    assert record["answer"]["asked"]["verdict"] == "no"
    letter = to_markdown(letter_page(ADVISER.take_off(case, today=TODAY), 0.03))
    assert letter.index("You asked about") < letter.index("What we advise")


def test_the_hazards_of_the_finish_asked_about_are_shown_though_another_leads() -> None:
    """Somebody sensitive asks about epoxy and something else leads: who must stay away is said all the same."""
    advice = advised("epoxy_flake", sensitive_people="yes", must_be_reversible="no", content_with_floor="yes")
    assert advice.answer.asked
    assert advice.answer.leading != "epoxy_flake"
    carried = [each for each in advice.hazards if "epoxy_flake" in each.finishes]
    with StringIO() as printed:
        print_advice(advice, Console(file=printed, width=100))
        text = " ".join(printed.getvalue().split())
    assert carried
    assert all(each.says.split(".")[0] in text for each in carried)
