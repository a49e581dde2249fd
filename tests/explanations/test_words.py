"""The graph in words: grammatical at every level, with the case's own numbers, and without a template's seams."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from random import Random

import pytest
import textstat

from advisor.answer.picturing import advice_graph
from advisor.demo import demo_cases
from explanations.errors import CannotExplain
from explanations.telling import check_level, tell
from explanations.wording import label
from explanations.words import fill, inside, sentence
from tests.draws import draws
from tests.explained import demos, random_floors, small_floor

LEVELS = ("sentence", "paragraph", "full")
FLOORS = draws(15)

SEAMS = {
    "two verbs": r"\b(is|are|was|were|has|have) (is|are|was|were|has|have)\b",
    "a word twice": r"\b(?!that\b|had\b)([A-Za-z]{2,}) \1\b",
    "doubled stop": r"[.!?;:,]\s*[.;:,]|\.\.",
    "space before a stop": r"\s[.,;:!?]",
    "empty slot": r"\{|\}|\(\)|\[\]|\bNone\b(?! suits)|\bnan\b|\binf\b|: *$|: \.",
    "two spaces": r"\S  +\S",
    "underscore outside a rule's name": r"(?<!\[)\b[a-z]+_[a-z_]+\b(?![^\[]*\])",
    "lower case after a full stop": r"[a-z)%]\. [a-z]",
    "article before a vowel": r"\ba (?=[aeio])(?!one\b|once\b|eu)\w+",
    "one with a plural": r"\b1 (points|rules|facts|finishes|things|reasons)\b",
    "many with a singular": r"\b([2-9]|\d\d+) (point|rule|fact|finish|further thing|more thing)\b(?!-)",
    "because twice": r"because because|because for because",
}


def seams(text: str) -> list[str]:
    """What is wrong with a text, by name."""
    found = []
    for line in text.splitlines():
        bare = re.sub(r"\[[a-z_]+\.[a-z0-9_]+\]", "[rule]", line.strip().removeprefix("- "))
        for name, pattern in SEAMS.items():
            flags = re.IGNORECASE if name == "a word twice" else 0
            if name == "empty slot" and bare.endswith(":"):
                bare = bare[:-1]  # a heading
            if match := re.search(pattern, bare, flags):
                found.append(f"{name}: ...{bare[max(0, match.start() - 40) : match.end() + 40]}...")
        if bare.count("(") != bare.count(")"):
            found.append(f"brackets: {bare}")
    return found


@pytest.mark.parametrize(
    "bad",
    [
        "It is are wet.",
        "It is wet..",
        "It is wet ,and dry.",
        "It holds {slab_humidity}.",
        "It holds  nothing here.",
        "It is ().",
        "The the slab is wet.",
        "It has 1 points.",
        "It has 12 point more.",
        "The slab is wet. and dry.",
        "It is slab_humidity.",
        "It is a old slab.",
        "It costs None.",
    ],
)
def test_each_seam_would_be_seen(bad: str) -> None:
    assert seams(bad)


def texts(number: int) -> Iterator[tuple[str, str, str]]:
    """Where a text is from, its level, and the text: the answer's, and those of some finishes, at every level."""
    rng = Random(2)
    floors = [*demos().values(), *random_floors(number)]
    for told in floors:
        finishes, graph = sorted(told.base.finishes), advice_graph(told.advice, told.base)  # 6 MB each: not kept
        asked = [None, *(finishes if told in floors[:3] else rng.sample(finishes, 6))]
        for finish in asked:
            for level in LEVELS:
                yield f"{told.case.floor} {finish}", level, tell(graph, level, finish)


def test_there_are_no_seams_over_random_floors() -> None:
    wrong = {seam: where for where, _, text in texts(FLOORS) for seam in seams(text)}
    assert not wrong, "\n".join(f"{where}: {seam}" for seam, where in list(wrong.items())[:20])


def test_a_sentence_is_one_and_a_paragraph_is_one() -> None:
    for where, level, text in texts(FLOORS):
        assert text[0].isupper() or text[0].isdigit(), where
        assert text.splitlines()[0].endswith((".", "?", "!")), where
        if level == "sentence" and not re.match(
            r"(One question|\d questions) first", text
        ):  # which tells what each answer does
            assert "\n" not in text
            ends = re.findall(r"[.!?](?=\s+[A-Z])", re.sub(r"\b(ASTM|No|approx)\.", "", text))
            assert not ends, (where, text)
        elif level == "paragraph":
            assert "\n" not in text


def test_each_level_says_more_than_the_one_before() -> None:
    for told in demos().values():
        for finish in (None, *told.base.finishes):
            one, two, three = (tell(told.graph, level, finish) for level in LEVELS)
            assert len(one) <= len(two) < len(three)


def test_the_words_carry_the_cases_own_numbers() -> None:
    """Every reason behind the standing asked about is told in full, as the rule gave it for this floor."""
    for told in (*demos().values(), *random_floors(5)):
        for standing in told.advice.standings[:8]:
            text = tell(told.graph, "full", standing.finish)
            for reason in (*standing.ruled_out_by, *standing.points):
                assert reason.because in text, reason.rule
                assert f"[{reason.rule}]" in text
            for to_do in () if told.advice.stops else standing.first:
                assert to_do.says.rstrip(".") in text


def test_a_ruled_out_finish_is_told_down_to_the_customers_facts() -> None:
    for told in demos().values():
        for standing in told.advice.standings:
            if standing.verdict != "ruled out":
                continue
            text = tell(told.graph, "full", standing.finish)
            for name in told.out_rests_on(standing.finish):
                fact = f"{label('fact', name)}: {told.case.facts[name].shown}"
                assert fact in text, (standing.finish, fact)


def test_a_finish_behind_is_told_what_the_first_has_that_it_lacks() -> None:
    for told in demos().values():
        left = [standing for standing in told.advice.standings if standing.rank]
        for standing in left[1:4]:
            text = tell(told.graph, "full", standing.finish)
            assert f"Against {left[0].name}, which comes first:" in text
            gap = left[0].total - standing.total
            assert (f"stands {gap} point{'s' if gap != 1 else ''} behind" in text) or not gap


def test_the_sentences_can_be_read_by_a_homeowner() -> None:
    """Automated readability index (Senter and Smith 1967) as textstat computes it: years of school, about.

    Of the paragraph: the full level is a list. The threshold is a choice: what most people have who own a house.
    """
    years = [textstat.automated_readability_index(tell(told.graph, "paragraph")) for told in demos().values()]
    assert max(years) < 13, years


def test_levels_and_finishes_that_are_not_there_are_refused() -> None:
    with pytest.raises(CannotExplain, match="sentence, paragraph, full"):
        check_level("loud")
    with pytest.raises(CannotExplain, match="marble"):
        tell(small_floor().graph, "full", "marble")


@pytest.mark.parametrize("name", sorted(demo_cases()))
def test_the_words_of_the_shipped_cases(name: str, golden: Callable[[str, str], None]) -> None:
    told = demos()[name]
    golden(f"words_{name}.txt", "\n\n".join(tell(told.graph, level) for level in ("sentence", "paragraph")) + "\n")


def test_the_words_of_a_small_floor(golden: Callable[[str, str], None]) -> None:
    told = small_floor()
    parts = [tell(told.graph, level, finish) for finish in (None, *told.base.finishes) for level in LEVELS]
    golden("words_small.txt", "\n\n----\n\n".join(parts) + "\n")


def test_small_pieces_of_grammar() -> None:
    assert inside("Nobody has measured it. A film traps damp.") == "nobody has measured it"
    assert inside("ASTM F2170 asks for three holes.") == "ASTM F2170 asks for three holes"
    assert sentence("a  b..") == "A b."
    assert fill("{x} is wet", {"x": "the slab"}) == "The slab is wet."
