"""The kind of an answer in words, for every page: what comes before a finish, said by what the answer waits for.

A test is told as a test; anything else that decides (a landlord's consent, a decision) is to be settled.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.model.advice import Answer, AnswerKind, Asked, BySheet
from advisor.model.knowledge import NeedKind
from explanations.wording import wording
from explanations.words import counted, sentence


def heading(answer: Answer, poor: bool = False) -> str:
    """What stands above an answer.

    Args:
        answer: the answer.
        poor: whether more speaks against what it recommends than for it.
    """
    none = "No recommendation yet"
    count = len(answer.waits_for)
    settle = "one thing" if count == 1 else counted(count, "thing")
    titles: dict[AnswerKind, str] = {
        "finish": "The least bad of what is left" if poor else "Recommended",
        "test first": f"{none}: {'test first' if _tests(answer.waits_for) else f'{settle} must be settled first'}",
        "none yet": none,
        "ask first": f"{none}: one question first",
        "professional": "Stop: call a professional first",
    }
    return titles[answer.kind]


def waiting(waits_for: Sequence[NeedKind], finish: str, fallback: str = "") -> str:
    """The answer where the leading finish waits for what decides.

    >>> waiting(("test",), "epoxy", "sealer")
    'test first. If the result allows, epoxy; otherwise sealer'
    >>> waiting(("choose",), "epoxy")
    'settle first what decides. If it allows, epoxy'
    """
    otherwise = f"; otherwise {fallback}" if fallback else ""
    first = "test first. If the result" if _tests(waits_for) else "settle first what decides. If it"
    return f"{first} allows, {finish}{otherwise}"


def recommending(finish: str, poor: bool, prepared: bool) -> str:
    """The answer that recommends a finish.

    Args:
        finish: its name.
        poor: whether more speaks against it than for it.
        prepared: whether something is to be done first.
    """
    least_bad = "none suits well; the least bad is " if poor else ""
    return f"{least_bad}{finish}{', once the preliminary steps are done' if prepared else ''}"


def asking(says: Iterable[str], asks: Iterable[Asked] = ()) -> str:
    """The answer where questions hold the floor, with what the answers to them would lead to.

    >>> branch = Branch(values="after 1980", kind="finish", finish="epoxy", sentence="Epoxy.")
    >>> asking(["Ask when it was built."], [Asked(need="year", fact="built", branches=(branch,))])
    'One question first: Ask when it was built. If after 1980: Epoxy.'
    """
    what_if = (f"If {each.values}: {each.sentence}" for one in asks for each in one.branches)
    return " ".join([f"One question first: {' '.join(says)}", *what_if])


def in_short(answer: Answer, finish: str) -> str:
    """The answer as it stands before a "because".

    Args:
        answer: the answer.
        finish: the name of its leading finish, if any is left.
    """
    if answer.kind == "test first":
        return sentence(f"{_do(answer.waits_for)} before you choose {finish}")
    if answer.kind in ("none yet", "ask first") and finish:
        return "No finish yet."
    return answer.sentence


def before_buying(waits_for: Sequence[NeedKind]) -> str:
    """What stands above the needs that decide, where money is spent."""
    return sentence(f"{_do(waits_for)} before you buy anything")[:-1]


def please_wait(waits_for: Sequence[NeedKind]) -> str:
    """The same to the customer."""
    what = "the result" if _tests(waits_for) else "it"
    return f"Please {_do(waits_for)} before you buy. What follows holds if {what} allows it."


def outlook(kind: AnswerKind, finish: str) -> str:
    """What a floor may come to, where nobody knows yet what it would wait for."""
    return {
        "finish": finish,
        "test first": f"something to settle first, then {finish} if it allows it",
        "none yet": "no finish yet",
        "ask first": "a question first",
        "professional": "a professional first",
    }[kind]


def _tests(waits_for: Sequence[NeedKind]) -> bool:
    return "test" in waits_for


def _do(waits_for: Sequence[NeedKind]) -> str:
    return "test" if _tests(waits_for) else "settle what decides"


def sheet_words(sheet: BySheet) -> tuple[str, ...]:
    """What a maker's sheet says, each number beside the default."""
    return tuple(
        wording(
            "product.same" if each.given == each.default else "product.number",
            means=each.means,
            given=each.given,
            default=each.default,
        )
        for each in sheet.numbers
    )
