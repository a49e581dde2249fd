"""Why a cause leads, or stands behind: the strongest sign comes first, and nothing is told twice."""

from __future__ import annotations

import re
from datetime import date

import pytest

from advisor.asking.causes import Inquiry
from advisor.asking.explaining import Explained
from advisor.facts.case import make_case
from advisor.facts.statements import read_statement
from explanations.briefly import finish_paragraph, finish_sentence
from explanations.words import first_sentence

TODAY = date(2026, 11, 27)
GARAGE = {"room": "garage", "trouble": "peels"}
CHALKY = {
    **GARAGE,
    "on_floor": "paint",
    "trouble_where": "scattered_spots",
    "trouble_since": "weeks",
    "prepared_how": "etched",
    "chip_back": "powdery",
    "surface_hardness": "hard",
}
GREASY = {
    **GARAGE,
    "on_floor": "thick_coating",
    "chip_back": "coats_parted",
    "day_of_coating": "heaters",
    "coat_wait": "as_told",
    "haze_goes": "with_water",
    "made_of": "two_part",
}
ON_GLUE = {
    **GARAGE,
    "on_floor": "thick_coating",
    "second_trouble": "stains_through",
    "residue_before": "glue",
    "mark_kind": "amber",
}
FLOORS = {"chalky": CHALKY, "greasy": GREASY, "on_glue": ON_GLUE}


def told(inquiry: Inquiry, given: dict[str, str]) -> Explained:
    said = {name: read_statement(name, text, name, TODAY) for name, text in given.items()}
    return Explained(inquiry.reasoner, inquiry.case(make_case(inquiry.base, said, TODAY)), TODAY)


@pytest.mark.parametrize("floor", FLOORS)
def test_why_a_cause_leads_begins_with_its_strongest_sign_not_with_the_complaint(inquiry: Inquiry, floor: str) -> None:
    explained = told(inquiry, FLOORS[floor])
    leading = explained.advice.standings[0]
    signs = [each for each in leading.points if each.rule.split(".")[0] not in ("complaint", "now_and_then", "usual")]
    strongest = max(each.points for each in signs)
    sentence = finish_sentence(explained.graph, leading.finish)
    first = [each for each in signs if first_sentence(each.because).rstrip(".")[4:] in sentence]
    assert [each.points for each in first] == [strongest]


@pytest.mark.parametrize("floor", FLOORS)
@pytest.mark.parametrize("behind", [0, 1, 2, 3])
def test_no_reason_is_told_twice(inquiry: Inquiry, floor: str, behind: int) -> None:
    explained = told(inquiry, FLOORS[floor])
    words = " ".join(finish_paragraph(explained.graph, explained.advice.standings[behind].finish))
    reasons = [each for each in re.findall(r": ([^.:?]+)[.]", words) if not each.startswith("what went wrong")]
    assert len(reasons) == len(set(reasons)), words


def test_behind_another_cause_chiefly_by_what_only_that_one_explains(inquiry: Inquiry) -> None:
    """Both causes explain peeling, the one more often: two points; but only one explains the glue and the amber."""
    sentence = finish_sentence(told(inquiry, ON_GLUE).graph, "amine_blush")
    assert "amber" in sentence or "glue" in sentence.split("chiefly")[1]
    assert "peels" not in sentence
