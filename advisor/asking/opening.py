"""The questions with which an interview opens (rules/conversation.yaml), and what a typed answer to one says.

They come in the order of the file, in every branch the same; one is left out only by what was said before it: where its
`when` does not hold, where it was answered (in this interview or in one before it), or where everything that it could
settle is settled.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from datetime import date

from advisor.asking.typed_answers import declines, read_answer, stands_for
from advisor.errors import BadCase, Fault
from advisor.facts.case import read_fact
from advisor.facts.statements import Statement
from advisor.model.entry import UNKNOWN
from advisor.model.grounding import pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.opening import Opening, Picked
from advisor.model.quantities import UNITS, NotAQuantity, read_quantity
from advisor.model.values import Value
from advisor.physics.bounds import Interval
from explanations.reading import reading, theirs
from explanations.wording import label, wording

_ROOM = re.compile(r"(?P<length>[^x×]+?)\s*(?:x|×|by)\s*(?P<width>[^x×]+)", re.IGNORECASE)
NOTHING: Mapping[str, Statement] = {}
_ANY_LENGTH = Interval(0.0, 1e6)


def openings(
    base: RuleBase,
    memory: Mapping[str, Value],
    read: Mapping[str, Value],
    settling: Collection[str],
    passed: Collection[str],
) -> Iterator[str]:
    """The opening questions still to be asked, in order.

    Args:
        base: the rule base.
        memory: the case's working memory.
        read: what was stated, as it was read.
        settling: the facts that could still settle something.
        passed: the questions asked already.
    """
    weighs = {each.importance for each in base.criteria.values()}
    for name, opening in base.conversation.items():
        patterns = [pattern_on(base, fact, texts, None) for fact, texts in opening.when.items()]
        holds = all(each is None or each.holds(memory[each.fact]) for each in patterns)
        tells = opening.always or any(
            each not in read and (each in settling or each in weighs) for each in opening.settles
        )
        if holds and tells and name not in passed and not is_answered(base, opening, read):
            yield name


def is_answered(base: RuleBase, opening: Opening, read: Mapping[str, Value]) -> bool:
    """Whether what was stated answers a question: somebody picked an answer, told all of it, or did not know.

    Args:
        base: for the vocabulary.
        opening: the question.
        read: what was stated, as it was read.
    """
    if all(each in read or base.facts[each].unknown_means for each in opening.settles):
        return True
    if opening.facts:
        return any(each in read and not read[each].known for each in opening.facts)
    picked = picked_in(opening, read)
    if opening.several:
        leaves = {fact for each in picked for fact in each.leaves}
        return bool(opening.rest) and all(each in read or each in leaves for each in opening.rest)
    set_by = {(fact, value) for each in opening.answers for fact, value in each.sets.items()}
    own = (each for each in opening.or_facts if each in read and read[each].known)
    return bool(picked) or any((each, read[each].choice) not in set_by for each in own)


def picked_in(opening: Opening, read: Mapping[str, Value]) -> list[Picked]:
    """The answers of a question all of which is stated so."""

    def so(fact: str, value: str) -> bool:
        return fact in read and read[fact].known and read[fact].choice == value

    return [each for each in opening.answers if all(so(*one) for one in each.sets.items())]


def read_opening(
    base: RuleBase, opening: Opening, text: str, today: date, stated: Mapping[str, Statement] = NOTHING
) -> dict[str, Statement]:
    """What an answer to an opening question says, fact by fact; facts that were stated before stay as they are.

    Args:
        base: for the vocabulary.
        opening: the question.
        text: as typed: a number or word of the list (several, parted by commas), or what a fact is; or "don't know".
        today: no date lies after it.
        stated: what was stated before, by fact.

    Raises:
        BadCase: it is no answer to this question.
    """
    if declines(text):  # not what stops a job where it was sought and is not to be had: that is asked by itself
        some = (each for each in opening.settles if each not in stated and not base.facts[each].unknown_means)
        return {each: Statement(UNKNOWN) for each in some}
    if opening.facts:
        return dict(_free(base, opening, text, today, stated))
    if opening.fact:
        return {opening.fact: read_answer(opening.fact, base.facts[opening.fact], text, today, opening.says)}
    if value := _value_said(base, opening, text, today):
        name, said_of_it, as_typed = value
        setting = [each for each in opening.answers if each.sets.get(name) == said_of_it]
        if len(setting) != 1:
            return {name: as_typed}
        text = setting[0].says
    picked = list(_picked(opening, text))
    said: dict[str, str] = {}
    left = set(stated)
    for each in picked:
        said |= each.sets  # of two answers to one thing the later, which is the graver, counts
        left |= set(each.leaves)
    said = {**{name: each for name, each in opening.rest.items() if name not in left}, **said}
    return {name: Statement(each) for name, each in said.items()}


def _value_said(base: RuleBase, opening: Opening, text: str, today: date) -> tuple[str, str, Statement] | None:
    """The one of `or_facts` as whose value an answer reads that is no word of the list, its value, and as stated."""
    word = _word(text)
    if word.isdigit() or any(_is_called(each, word) for each in opening.answers):
        return None
    for name in opening.or_facts:
        with suppress(BadCase):
            said = read_answer(name, base.facts[name], text, today)
            return name, read_fact(base, name, said.text, name).choice, said
    return None


def hints_of(base: RuleBase, read: Mapping[str, Value]) -> list[str]:
    """What is said at the end to whoever gave these answers.

    Args:
        base: for the questions.
        read: what was stated, as it was read.
    """
    return [each.hint for opening in base.conversation.values() for each in picked_in(opening, read) if each.hint]


def _picked(opening: Opening, text: str) -> Iterator[Picked]:
    """The answers of the list that were picked, in its order."""
    if opening.several and stands_for("nothing", text):
        return
    parts = [each.strip() for each in re.split(r"[,;]|\band\b", text) if each.strip()]
    if opening.several and all(re.fullmatch(r"[\d\s]+", each) for each in parts):
        parts = text.replace(",", " ").replace(";", " ").replace("and", " ").split()
    if not opening.several:
        parts = [text.strip()]
    places = set[int]()
    for part in parts:
        found = _places(opening, part)
        if len(found) != 1:
            among = [(each, opening.answers[each]) for each in found or range(len(opening.answers))]
            allowed = "; ".join(f"{place + 1} {answer.says}" for place, answer in among)
            key = "interview.several_answers" if found else "interview.no_answer"
            raise BadCase([Fault("", wording(key, given=part[:60]), allowed)])
        places |= found
    yield from (opening.answers[place] for place in sorted(places))


def _places(opening: Opening, part: str) -> set[int]:
    """The places in the list that a number or words may name: those that fit best, one if it is clear."""
    word = _word(part)
    if word.isdigit():
        return {int(word) - 1} & set(range(len(opening.answers)))
    found = set[int]()
    empty = all(stands_for("says_nothing", each) for each in word.split())  # a stray word begins no answer
    for fits in (_is_called,) if empty else (_is_called, _begins_with, _holds, _is_spoken_of):
        found = {place for place, each in enumerate(opening.answers) if fits(each, word)}
        if len(found) == 1:
            break
    return found


def taken_for(opening: Opening, text: str) -> list[str]:
    """The answers for which a sentence was taken that only speaks of them; for the reader to see."""
    word = _word(text)
    plain = word.isdigit() or opening.several or not opening.answers
    if plain or any(fits(each, word) for fits in (_is_called, _begins_with, _holds) for each in opening.answers):
        return []
    try:
        return [each.says for each in _picked(opening, text)]
    except BadCase:
        return []


def _word(text: str) -> str:
    """What was typed, as words are listed: small, without what ends a sentence."""
    return " ".join(text.lower().strip(" .!").split())


def _is_called(answer: Picked, word: str) -> bool:
    return word in (answer.says.lower(), *answer.also)


def _begins_with(answer: Picked, word: str) -> bool:
    return any(each.startswith(word) for each in (answer.says.lower(), *answer.also))


def _holds(answer: Picked, word: str) -> bool:
    return len(word) > 2 and re.search(rf"\b{re.escape(word)}", answer.says.lower()) is not None


def _is_spoken_of(answer: Picked, words: str) -> bool:
    """Whether one of its words stands in a sentence that denies nothing, or that denies just so."""
    named = [each for each in answer.also if re.search(rf"\b{re.escape(each)}\b", words)]
    return bool(named) and not _DENIES.search(words.replace(max(named, key=len), ""))


_DENIES = re.compile(r"\b(?:no|not|nor|never|none|nothing|without|except|but|\w+n't)\b")


def left_out(opening: Opening, stated: Mapping[str, Statement]) -> tuple[str, ...]:
    """The facts that an answer to a question told freely left out; none where nothing was said, or "don't know"."""
    said = [stated[each].text.lower() for each in opening.facts if each in stated]
    return tuple(each for each in opening.facts if each not in stated) if said and UNKNOWN not in said else ()


def pieces(text: str) -> list[str]:
    """The pieces of an answer to a question told freely.

    >>> pieces("1,000 ft2, 1998; new")
    ['1,000 ft2', '1998', 'new']
    """
    return [each.strip() for each in re.split(r",(?!\d{3}\b)|;", text) if each.strip()]


def example_of(opening: Opening, facts: Collection[str]) -> str:
    """What an answer that says these facts may look like, in the reader's units and money."""
    reader, whole = reading(), theirs(opening.example)
    pieces = [each.replace("{currency}", reader.currency if reader else "USD") for each in whole.split(", ")]
    if len(pieces) != len(opening.facts):
        return ", ".join(pieces)
    return ", ".join(piece for piece, fact in zip(pieces, opening.facts, strict=True) if fact in facts)


def _free(
    base: RuleBase, opening: Opening, text: str, today: date, stated: Mapping[str, Statement]
) -> Iterator[tuple[str, Statement]]:
    """Each piece as what the first fact left that takes it is; a piece that none takes is refused.

    A piece may name its fact, as `area=440 ft2`. What was said before is said anew only so, or where all was.
    """
    left = list(opening.facts)
    open_yet = left_out(opening, stated) or opening.facts

    def taken(piece: str) -> tuple[str, Statement]:
        named, _, rest = piece.partition("=")
        if named.strip() in left:
            left.remove(named.strip())
            return named.strip(), _read_free(base, named.strip(), rest.strip(), today)
        allowed: dict[str, None] = {}
        for name in (each for each in left if each in open_yet):
            try:
                said = _read_free(base, name, _with_unit(opening, name, piece), today)
            except BadCase as error:
                may_be = (each.allowed for each in error.faults if each.allowed)
                allowed |= {
                    wording("interview.may_be", fact=label("fact", name), allowed=each): None for each in may_be
                }
            else:
                left.remove(name)
                return name, said
        what = wording("interview.no_piece", given=piece[:60], example=example_of(opening, open_yet))
        raise BadCase([Fault("", what, "; ".join(allowed))])

    for piece in pieces(text):
        try:
            yield taken(piece)
        except BadCase:
            if len(apart(piece)) == 1:
                raise
            yield from map(taken, apart(piece))


def apart(piece: str) -> list[str]:
    """What stands beside each other with "and": two pieces, where the whole is none."""
    return re.split(r"\s+and\s+", piece)


def _with_unit(opening: Opening, name: str, piece: str) -> str:
    """A bare number with the unit in which the question asks for it; anything else as it is."""
    unit = opening.units.get(name, "")
    return f"{piece} {unit}" if unit and re.fullmatch(r"\d[\d.,]*", piece) else piece


def _read_free(base: RuleBase, name: str, piece: str, today: date) -> Statement:
    """One piece as what a fact is; refused where it is not."""
    said = read_answer(name, base.facts[name], _measured(piece) if name == "area" else piece, today)
    read_fact(base, name, said.text, name)
    return said


def _measured(piece: str) -> str:
    """Rooms as `20 x 22 ft + 3 m x 4 m` as an area, in square feet where all were measured so; else as it is.

    >>> _measured("12 x 14 ft"), _measured("3 m x 4 m"), _measured("440 ft2")
    ('168 ft2', '12 m2', '440 ft2')
    """
    total, units = 0.0, set[str]()
    for room in piece.split("+"):
        match = _ROOM.fullmatch(room.strip())
        if match is None:
            return piece
        width = match["width"].strip()
        unit = re.sub(r"^[\d.,\s]+", "", width)
        length = match["length"].strip()
        if re.fullmatch(r"[\d.,]+", length):
            length = f"{length} {unit}"
        try:
            sides = [read_quantity(each, "mm", _ANY_LENGTH) for each in (length, width)]
        except NotAQuantity:
            return piece
        units |= {"m2" if _is_metric(each) else "ft2" for each in (length, width)}
        total += sides[0].low * sides[1].low / 1e6
    unit = units.pop() if len(units) == 1 else "m2"
    figure = f"{total / UNITS['m2'].spellings[unit][0]:.2f}"
    return f"{figure.rstrip('0').rstrip('.')} {unit}"


def _is_metric(length: str) -> bool:
    """Whether a length is in metres or parts of them."""
    return re.fullmatch(r"[\d.,\s]+(?:mm|cm|m|met(?:er|re)s?)", length) is not None
