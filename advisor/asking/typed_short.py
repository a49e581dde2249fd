"""Several facts typed at once, in any order, each by the first letters of its name: `hum 85 %; veh: cars; garage`.

A piece is a name and a value with `:`, `=` or a space between them, or a value alone where only one fact has it. The
words of a name are the beginnings of words of the fact's own name or label, in their order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.errors import BadRequest, Fault, did_you_mean, nearest
from advisor.model.knowledge import RuleBase
from advisor.rulebase.rule_values import spelled
from explanations.wording import label, wording

MOST_NAMED = 8
LONGEST_NAME = 6  # words


def read_short(base: RuleBase, text: str) -> list[tuple[str, str]]:
    """The facts that are said, and what is said of each, as typed.

    Args:
        base: for the vocabulary.
        text: pieces with semicolons or line breaks between them.

    Raises:
        BadRequest: with every piece that says nothing, or may say several things.
    """
    said: list[tuple[str, str]] = []
    faults: list[Fault] = []
    for piece in filter(None, (" ".join(each.split()) for each in re.split(r"[;\n]", text))):
        try:
            said += _piece(base, piece)
        except BadRequest as error:
            faults += error.faults
    if faults:
        raise BadRequest(faults)
    return said


def _piece(base: RuleBase, piece: str) -> list[tuple[str, str]]:
    name, sign, value = (part.strip() for part in re.match(r"([^:=]*)([:=]?)(.*)", piece).groups())  # type: ignore[union-attr]
    if sign:
        if not value:
            raise BadRequest([Fault(piece, wording("web_counter.no_value", name=name))])
        return [(_one(base, piece, _taking(base, named(base, name), value), name), value)]
    words = name.split()
    for n in range(min(len(words) - 1, LONGEST_NAME), 0, -1):
        value = " ".join(words[n:])
        if found := _taking(base, named(base, " ".join(words[:n])), value):
            return [(_one(base, piece, found, " ".join(words[:n])), value)]
    owners = list(_having(base, name))
    if owners:
        return [(_one(base, piece, owners, name), name)]
    answers = [
        each for opening in base.conversation.values() for each in opening.answers if name.lower() in each.also and name
    ]
    if len(answers) == 1:  # as it is said where a conversation begins
        return [*answers[0].sets.items()]
    raise BadRequest([Fault(piece, wording("web_counter.unread", piece=piece[:60]), remedy=_near(base, words))])


def _taking(base: RuleBase, found: list[str], value: str) -> list[str]:
    """Of several facts the one that has the value, where only one does; else all of them."""
    having = set(_having(base, value)) & set(found)
    return list(having) if len(having) == 1 else found


def named(base: RuleBase, typed: str) -> list[str]:
    """The facts that a name may mean; only the one that is called so, where one is."""
    wanted = spelled(typed)
    parts = [each for each in wanted.split("_") if each]
    kinds = {name: kind for name, kind in base.facts.items() if kind.ask}
    if wanted in kinds or not parts:
        return [wanted] if parts else []
    exact = [name for name in kinds if spelled(label("fact", name)) == wanted]
    if exact:
        return exact
    found = [name for name in kinds if _begins(parts, name.split("_"))]
    return found or [name for name in kinds if _begins(parts, spelled(label("fact", name)).split("_"))]


def _begins(parts: list[str], words: list[str]) -> bool:
    """Whether the parts begin words, in their order."""
    rest = iter(words)
    return all(any(word.startswith(part) for word in rest) for part in parts)


def _having(base: RuleBase, value: str) -> Iterator[str]:
    """The facts that have a value, by its own spelling or another."""
    wanted = spelled(value)
    for name, kind in base.facts.items():
        if kind.ask and kind.type == "choice":
            others = (each for also in kind.also.values() for each in also)
            if any(wanted == spelled(each) for each in (*kind.choices, *others)):
                yield name


def _one(base: RuleBase, piece: str, found: list[str], typed: str) -> str:
    if not found:
        raise BadRequest([Fault(piece, wording("web_counter.no_fact", name=typed[:60]), remedy=_near(base, [typed]))])
    if len(found) > 1:
        what = wording("web_counter.several", name=typed[:60], n=len(found))
        raise BadRequest([Fault(piece, what, remedy=did_you_mean(found[:MOST_NAMED]))])
    return found[0]


def _near(base: RuleBase, words: list[str]) -> str:
    return nearest("_".join(words), [name for name, kind in base.facts.items() if kind.ask])
