"""How old one must be to read it: `python -m tests.benchmarks.reading_age`.

The grade of Kincaid, Fishburne, Rogers and Chissom, "Derivation of new readability formulas" (Research Branch Report
8-75, US Naval Technical Training, 1975): 0.39 words a sentence and 11.8 syllables a word, less 15.59; five years more
make the age. The formula is from memory. Syllables are counted by groups of vowels, a silent e left out. Only what ends
with a full stop, a question mark or an exclamation mark is a sentence, and names count as they are: an upper figure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

import advisor
from advisor.demo import demo_cases
from advisor.pages.blocks import Item, Listing, Notice, Paragraph, Terms
from advisor.pages.letter import letter_page
from advisor.pages.short_answer import short_page
from advisor.work.fit import study_fully

SCHOOL_BEGINS = 5  # years old in the grade before the first
WORST = 12


def syllables(word: str) -> int:
    """The syllables of an English word, about.

    >>> [syllables(each) for each in ("slab", "concrete", "humidity", "table", "cleaned")]
    [1, 2, 4, 2, 1]
    """
    bare = re.sub(r"(?<=[^aeiouyl])e$|(?<=[^aeiouytd])ed$|(?<=[^aeiouyszxh])es$", "", word.lower())
    return max(1, len(re.findall(r"[aeiouy]+", bare)))


def grade(sentences: Sequence[str]) -> float:
    """The school grade in which such sentences are read.

    >>> round(grade(["The cat sat on the mat."]), 2)
    -1.45
    """
    some = [re.findall(r"[A-Za-z]+(?:'[a-z]+)?", each) for each in sentences]
    words = [word for each in some for word in each]
    return 0.39 * len(words) / len(some) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def sentences(texts: Iterable[str]) -> Iterator[str]:
    """Whole sentences of more than three words.

    >>> list(sentences(["Test first. If the result allows, epoxy.", "Ask. Keep out of the room."]))
    ['If the result allows, epoxy', 'Keep out of the room']
    """
    for text in texts:
        yield from (bare for each in re.split(r"[.!?](?:\s+|$)", text) if len((bare := each.strip()).split()) > 3)


def read_by_a_homeowner(adviser: advisor.Adviser, today: date) -> Iterator[tuple[str, list[str]]]:
    """What is said, by where: the questions, and of each demo floor the short answer and the letter."""
    base = adviser.base
    opening = [each.ask for each in base.conversation.values()]
    yield "opening questions", opening
    yield "questions", [kind.ask for kind in base.facts.values() if kind.ask]
    yield "reasons", [each.because for each in base.rules.values()]
    for name, path in demo_cases().items():
        study = study_fully(adviser.reasoner, adviser.read(path, today), today)
        for view, page in (("advise", short_page(study.advice)), ("letter", letter_page(study, 0.03))):
            yield f"{view} {name}", [*_texts(page.blocks)]


def _texts(blocks: Iterable[object]) -> Iterator[str]:
    for each in blocks:
        match each:
            case Paragraph():
                yield each.text
            case Terms():
                yield from (item for term in each.terms for item in term.items)
            case Listing() | Notice():
                yield from (item.text if isinstance(item, Item) else item for item in each.items)


def main() -> None:
    adviser, today = advisor.load(), date.today()
    told = set[str]()
    for where, texts in read_by_a_homeowner(adviser, today):
        some = list(sentences(texts))
        told |= set(some)
        print(f"{where}: grade {grade(some):.1f}, age {grade(some) + SCHOOL_BEGINS:.1f} ({len(some)} sentences)")
    for each in sorted(told, key=lambda each: -grade([each]))[:WORST]:
        print(f"  grade {grade([each]):.0f}: {each}")


if __name__ == "__main__":
    main()
