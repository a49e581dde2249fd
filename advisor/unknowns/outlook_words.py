"""The outlook of a case in plain sentences: what is certain, what it may still come to, what a question would do."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import islice

from advisor.inference.judging import Recommendation
from advisor.rulebase.knowledge import RuleBase
from advisor.unknowns.holding import Verdict
from advisor.unknowns.interview import Interview, Step
from advisor.unknowns.outlook import Branch, Question, Turn
from advisor.unknowns.priors import effort
from explanations.words import counted, listing, sentence

MOST_TURNS = 5
LEAST_SHARE = 0.02  # rarer turns are counted, not named


def recommended(base: RuleBase, recommendation: Recommendation) -> str:
    """A recommendation in a few words."""
    name = base.finishes[recommendation.finish].name if recommendation.finish else ""
    return {
        "finish": name,
        "test first": f"a test first, then {name} if it allows it",
        "none yet": "no finish yet",
        "professional": "a professional first",
    }[recommendation.kind]


def percent(share: float) -> str:
    """A share as people say it.

    >>> percent(0.004), percent(0.637), percent(0.997)
    ('under 1 %', '64 %', 'over 99 %')
    """
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < share < 1 else f"{share * 100:.0f} %"


def turns_told(base: RuleBase, turns: Iterable[Turn]) -> Iterator[str]:
    """What the case may still come to, likeliest first."""
    turns = list(turns)
    named = [turn for turn in turns[:MOST_TURNS] if turn.share >= LEAST_SHARE] or turns[:1]
    for turn in named:
        yield f"{percent(turn.share)}: {recommended(base, turn.recommendation)}"
    if rest := turns[len(named) :]:
        yield f"{percent(sum(turn.share for turn in rest))}: {counted(len(rest), 'other outcome')}"


def verdict_told(base: RuleBase, verdict: Verdict, turns: tuple[Turn, ...], open_facts: int) -> str:
    """Whether the recommendation is certain, in one or two sentences."""
    facts = counted(open_facts, "open fact")
    if verdict.recommendation:
        what = recommended(base, verdict.recommendation)
        return sentence(
            f"certain: {what}. Whatever the {facts} may still turn out to be, it stays so "
            f"(proved over {counted(verdict.tried, 'combination')} of the values that matter)"
        )
    if len(turns) == 1 and not verdict.decided:
        return sentence(f"not proved, though every floor tried came to {recommended(base, turns[0].recommendation)}")
    if len(turns) == 1:
        others = [each for each in verdict.exceptions if each != turns[0].recommendation]
        return sentence(
            f"nearly certain: {recommended(base, turns[0].recommendation)}; only values that are hardly met would "
            f"make it {listing((recommended(base, each) for each in others), 'or')}"
        )
    return f"Not certain yet; with the {facts} it may come to"


def branches_told(base: RuleBase, question: Question) -> Iterator[str]:
    """What each answer would do; answers that come to the same are told together."""
    merged: dict[tuple[Recommendation, ...], list[Branch]] = {}
    for branch in question.branches:
        merged.setdefault(tuple(turn.recommendation for turn in branch.turns[:1]), []).append(branch)
    for branches in merged.values():
        share = sum(branch.share for branch in branches)
        best = branches[0].turns[0].recommendation
        likely = sum(b.share * t.share for b in branches for t in b.turns if t.recommendation == best) / share
        values = listing(_joined(branch.stretch for branch in branches), "or")
        yield f"{values}: most likely {recommended(base, best)} ({percent(likely)})"


_STRETCH = re.compile(r"(\S+)(?: to (\S+))?( .+)?")


def _joined(stretches: Iterable[str]) -> list[str]:
    """Stretches of a number that follow each other told as one: `2 to 3 days`, `3 to 9 days` are `2 to 9 days`."""
    joined: list[str] = []
    for stretch in stretches:
        before, now = (_STRETCH.fullmatch(each) for each in (joined[-1] if joined else "", stretch))
        if before and now and before[2] == now[1] and before[3] == now[3]:
            joined[-1] = f"{before[1]} to {now[2] or now[1]}{now[3] or ''}"
        else:
            joined.append(stretch)
    return joined


def step_told(base: RuleBase, step: Step) -> Iterator[str]:
    """What an answer changed."""
    for aside in step.set_aside:
        yield sentence(f"taken as unknown: {aside.says}")
        yield from (f"- It may be: {sentence(each)}" for each in aside.explanations)
        yield sentence(f"what decides: {aside.test}")
    for name in step.stops:
        yield sentence(f"stop: call {base.referrals[name].who} before any finish")
    for name in step.holds:
        yield sentence(f"comes before any finish: {base.needs[name].says}")
    by_reason: dict[str, list[str]] = {}
    for standing in step.fell:
        by_reason.setdefault(standing.ruled_out_by[0].rule, []).append(standing.finish)
    for rule, finishes in by_reason.items():
        reason = next(s.ruled_out_by[0].because for s in step.fell if s.finish == finishes[0])
        names = listing(base.finishes[finish].name for finish in finishes)
        yield f"Fell: {names}. {reason} [{rule}]"
    if step.came_back:
        yield f"Came back: {listing(base.finishes[finish].name for finish in step.came_back)}."


def outlook_told(interview: Interview, most: int) -> Iterator[str]:
    """Whether the answer is certain, what it may come to, and the questions worth asking; indented by two spaces."""
    base, look = interview.base, interview.outlook
    verdict = interview.verdict()
    for aside in interview.case.set_aside:
        yield sentence(f"taken as unknown: {aside.says}")
        yield sentence(f"what decides: {aside.test}")
    told = verdict_told(base, verdict, look.turns, len(look.undecided))
    yield told if told.endswith(".") else f"{told}:"
    if verdict.recommendation:
        yield "There is nothing more to ask for the choice of the finish."
        return
    if len(look.turns) > 1:
        yield from (f"  {line}" for line in turns_told(base, look.turns))
    questions = list(islice(interview.questions(), most))
    if not questions:
        yield "No further question is expected to settle more than it costs."
    for place, question in enumerate(questions, start=1):
        kind = base.facts[question.fact]
        part = percent(question.settles / look.uncertainty)
        yield ""
        yield f"{place}. {kind.ask} [{question.fact}]"
        yield f"  Settles about {part} of what is open; effort {question.cost:g} ({effort(base, question.fact).means})."
        yield f"  {kind.why} How to find out: {kind.find_out}"
        yield from (f"  - {line}" for line in branches_told(base, question))


def outlook_data(interview: Interview, most: int) -> dict[str, object]:
    """The same as data."""
    look, verdict = interview.outlook, interview.verdict()

    def turns(given: Iterable[Turn]) -> list[dict[str, object]]:
        return [{**turn.recommendation._asdict(), "share": round(turn.share, 4)} for turn in given]

    return {
        "certain": verdict.recommendation._asdict() if verdict.recommendation else None,
        "decided": verdict.decided,
        "combinations": verdict.tried,
        "uncertainty_bits": round(look.uncertainty, 4),
        "turns": turns(look.turns),
        "questions": [
            {
                "fact": question.fact,
                "settles_bits": round(question.settles, 4),
                "effort": question.cost,
                "answers": [
                    {"value": branch.stretch, "share": round(branch.share, 4), "turns": turns(branch.turns)}
                    for branch in question.branches
                ],
            }
            for question in islice(interview.questions(), most)
        ],
    }
