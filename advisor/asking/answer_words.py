"""What an answer would do, and what it did, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.answer.ranking import Recommendation
from advisor.asking.effects import Effect
from advisor.asking.interview import Step
from advisor.asking.outlook import Branch, Outlook
from advisor.asking.outlook_words import joined, percent, recommended
from advisor.model.knowledge import RuleBase
from explanations.words import counted, listing, sentence

MOST_NAMED = 3  # finishes named where more fall
WORTH_TELLING = 0.01  # of a share that grows or shrinks


def effects_told(base: RuleBase, look: Outlook, effects: Iterable[Effect]) -> Iterator[str]:
    """What each answer would do at once, and what the case then most likely comes to; what is alike told together."""
    alike: dict[tuple[str, Recommendation], list[Effect]] = {}
    for effect in effects:
        alike.setdefault((_at_once(base, effect), effect.branch.turns[0].recommendation), []).append(effect)
    same_end = len({end for _, end in alike}) == 1
    for (told, end), group in alike.items():
        branches = [effect.branch for effect in group]
        values = listing(joined(branch.stretch for branch in branches), "or")
        later = _shifted(base, look, branches) if same_end else _ends(base, end, branches)
        yield f"{values}: {told}.{later}"


def _at_once(base: RuleBase, effect: Effect) -> str:
    names = {name: finish.name for name, finish in base.finishes.items()}
    if effect.set_aside:
        says = effect.set_aside[0].says
        return f"it would not go with the rest ({says[0].lower()}{says[1:].rstrip('.')}), so it would count as unknown"
    before, after = effect.before, effect.after
    parts = []
    if after.recommendation != before.recommendation:
        parts.append(f"the answer becomes: {recommended(base, after.recommendation)}")
    if effect.fell:
        parts.append(f"{_some([names[each] for each in effect.fell])} {_verb(effect.fell, 'fall')}")
    if effect.came_back:
        parts.append(f"{_some([names[each] for each in effect.came_back])} {_verb(effect.came_back, 'come')} back")
    gone = [f"no longer first: {_needs(effect.needs_gone)}"] if effect.needs_gone else []
    new = [f"now first: {_needs(effect.needs_new)}"] if effect.needs_new else []
    if gone or new:
        parts.append(f"for {names[after.left[0]]}, {', '.join(gone + new)}")
    if before.left[:1] == after.left[:1] and before.lead != after.lead and after.lead is not None:
        was = "" if before.lead is None else f" instead of {before.lead}"
        parts.append(f"{names[after.left[0]]} leads by {counted(after.lead, 'point')}{was}")
    if not parts:
        further = "; it counts together with further answers" if len(effect.branch.turns) > 1 else ""
        return f"nothing changes at once{further}"
    stays = "" if after.recommendation != before.recommendation else "the answer stays for now; "
    return stays + "; ".join(parts)


def _ends(base: RuleBase, end: Recommendation, branches: list[Branch]) -> str:
    return f" In the end most likely {recommended(base, end)} ({percent(_share(end, branches))})."


def _shifted(base: RuleBase, look: Outlook, branches: list[Branch]) -> str:
    """The outcome whose share these answers change most, against the share before."""
    shifts = {turn.recommendation: _share(turn.recommendation, branches) - turn.share for turn in look.turns}
    end = max(shifts, key=lambda each: abs(shifts[each]))
    if abs(shifts[end]) < WORTH_TELLING:
        return ""
    now = _share(end, branches)
    return f" In the end {recommended(base, end)} in {percent(now)} instead of {percent(now - shifts[end])}."


def _share(end: Recommendation, branches: list[Branch]) -> float:
    likely = sum(b.share * turn.share for b in branches for turn in b.turns if turn.recommendation == end)
    return likely / sum(branch.share for branch in branches)


def _some(names: list[str]) -> str:
    more = len(names) - MOST_NAMED
    return listing([*names[:MOST_NAMED], f"{more} more"] if more > 1 else names)


def _verb(subjects: tuple[str, ...], verb: str) -> str:
    return verb if len(subjects) > 1 else f"{verb}s"


def _needs(needs: tuple[str, ...]) -> str:
    return listing(each.replace("_", " ") for each in needs)


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
