"""The finish that the customer has in mind: yes, yes if, not yet or no, and why. Said before the better choice."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from advisor.answer.apart import drawbacks
from advisor.model.advice import Answer, AskedAbout, Referred
from advisor.model.standing import FinishStanding, Reason, ToDo
from advisor.model.values import Value
from explanations.wording import label, listed, wording

Verdict = Literal["yes", "yes if", "not yet", "no"]
ASKED_ABOUT = "asked_about"  # the fact that names it
NAMED = 3  # of the needs that decide; the rest stand under what comes first


def asked_about(
    memory: Mapping[str, Value],
    answer: Answer,
    standings: tuple[FinishStanding, ...],
    stops: tuple[Referred, ...],
    holds: tuple[ToDo, ...],
) -> AskedAbout | None:
    """What is to be said of the finish that the case asks about; None where it asks about none.

    Args:
        memory: the working memory.
        answer: the answer to the whole.
        standings: of all finishes.
        stops: professionals who come before any finish.
        holds: what comes before any finish.
    """
    asked = memory[ASKED_ABOUT].choice if ASKED_ABOUT in memory else ""
    standing = next((each for each in standings if each.finish == asked), None)
    if standing is None:
        return None
    said: dict[str, object] = {"name": standing.name}
    worst = () if answer.leading == asked else tuple(drawbacks(standing, 1))
    reasons: tuple[Reason, ...] = ()
    verdict: Verdict
    if standing.verdict == "ruled out":
        verdict, key, reasons = "no", "no", standing.ruled_out_by
        said["why"] = reasons[0].because
    elif stops or holds:
        verdict, key, reasons = (
            "not yet",
            "not_yet",
            tuple(reason for each in (stops or holds) for reason in each.reasons),
        )
    elif standing.first:
        deciding = [each for each in standing.first if each.decides]
        reasons = tuple(reason for each in deciding or standing.first for reason in each.reasons)
        if deciding:
            verdict, key = "yes if", "yes_once"
            said["first"] = listed((label("need", each.need) for each in deciding[:NAMED]), "and")
        else:
            verdict, key = "yes if", "yes_if_but" if worst else "yes_if"
            said |= {"first": label("need", standing.first[0].need), "more": len(standing.first) - 1}
    elif worst:
        verdict, key, reasons = "yes", "yes_but", tuple(Reason(rule=n.rule, because=n.because) for n in worst)
    else:
        verdict, key = "yes", "yes_best" if answer.leading == asked else "yes"
    if worst:
        said.setdefault("why", worst[0].because)
    return AskedAbout(
        finish=asked,
        name=standing.name,
        verdict=verdict,
        sentence=wording(f"asked.{key}", **said),
        reasons=tuple(dict.fromkeys(reasons)),
    )
