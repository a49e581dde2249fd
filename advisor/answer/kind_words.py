"""The kind of an answer in words, for every page: what comes before a finish, said by what the answer waits for.

A test is told as a test; anything else that decides (a landlord's consent, a decision) is to be settled.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from advisor.model.advice import Answer, Asked
from advisor.model.rules import NeedKind
from advisor.model.standing import AnswerKind, BySheet
from explanations.wording import wording


def heading(answer: Answer, poor: bool = False) -> str:
    """What stands above an answer.

    Args:
        answer: the answer.
        poor: whether more speaks against what it recommends than for it.
    """
    if answer.kind == "test first":
        return wording(f"answer.heading.{_do(answer.waits_for)}", n=len(answer.waits_for))
    return wording("answer.heading.poor" if answer.kind == "finish" and poor else f"answer.heading.{_key(answer.kind)}")


def waiting(waits_for: Sequence[NeedKind], finish: str, fallback: str = "", poor: bool = False) -> str:
    """The answer where the leading finish waits for what decides.

    Args:
        waits_for: the kinds of need that decide.
        finish: the name of the leading one.
        fallback: of the best that waits for nothing.
        poor: whether more speaks against that one than for it.

    >>> waiting(("test",), "epoxy", "sealer")
    'Test first. If the result allows, epoxy; otherwise sealer'
    >>> waiting(("choose",), "epoxy")
    'Something must be settled first. If that allows it, epoxy'
    """
    key = f"answer.waiting.{_do(waits_for)}"
    return wording(key, finish=finish, fallback=fallback or "none", poor="yes" if poor else "no")


def recommending(finish: str, poor: bool, prepared: bool) -> str:
    """The answer that recommends a finish.

    Args:
        finish: its name.
        poor: whether more speaks against it than for it.
        prepared: whether something is to be done first.
    """
    return wording(
        "answer.recommend", finish=finish, poor="yes" if poor else "no", prepared="yes" if prepared else "no"
    )


def asking(questions: Mapping[str, str], asks: Iterable[Asked] = ()) -> str:
    """The answer where questions hold the floor, with what the answers to them would lead to; several have numbers.

    >>> from advisor.model.advice import Branch
    >>> branch = Branch(values="after 1980", kind="finish", finish="epoxy", sentence="Epoxy.")
    >>> asking({"year": "Ask when it was built."}, [Asked(need="year", fact="built", branches=(branch,))])
    'One question first: Ask when it was built. If after 1980: Epoxy.'
    """
    places = {need: at if len(questions) > 1 else 0 for at, need in enumerate(questions, start=1)}
    says = [wording("answer.numbered", at=places[n], says=each) if places[n] else each for n, each in questions.items()]
    what_if = (
        wording("answer.if_so", at=places[one.need], values=each.values, sentence=each.sentence)
        for one in asks
        for each in one.branches
    )
    return " ".join([wording("answer.questions", n=len(questions), says=" ".join(says)), *what_if])


def in_short(answer: Answer, finish: str) -> str:
    """The answer as it stands before a "because".

    Args:
        answer: the answer.
        finish: the name of its leading finish, if any is left.
    """
    if answer.kind == "test first":
        return wording(f"answer.before_choosing.{_do(answer.waits_for)}", finish=finish)
    if answer.kind in ("none yet", "ask first") and finish:
        return wording("answer.no_finish_yet")
    return answer.sentence


def before_buying(waits_for: Sequence[NeedKind]) -> str:
    """What stands above the needs that decide, where money is spent."""
    return wording(f"answer.before_buying.{_do(waits_for)}")


def please_wait(waits_for: Sequence[NeedKind]) -> str:
    """The same to the customer."""
    return wording(f"answer.please.{_do(waits_for)}")


def outlook(kind: AnswerKind, finish: str, poor: bool = False) -> str:
    """What a floor may come to, where nobody knows yet what it would wait for.

    Args:
        kind: of the answer.
        finish: the name of the finish recommended or waited for.
        poor: whether more speaks against it than for it.
    """
    return wording(f"answer.outlook.{_key(kind)}", finish=finish, poor="yes" if poor else "no")


def _do(waits_for: Sequence[NeedKind]) -> Literal["test", "settle"]:
    """What is to be done first, as the last part of a key of texts."""
    return "test" if "test" in waits_for else "settle"


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


def _key(kind: AnswerKind) -> str:
    return kind.replace(" ", "_")
