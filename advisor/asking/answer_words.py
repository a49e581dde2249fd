"""What an answer would do, and what it did, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.answer.ranking import Recommendation
from advisor.asking.effects import Effect
from advisor.asking.interview import Step
from advisor.asking.outlook import Branch, Outlook
from advisor.asking.outlook_words import joined, percent, recommended
from advisor.model.knowledge import RuleBase
from explanations.wording import label, listed, wording
from explanations.words import sentence

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
        values = listed(joined(branch.stretch for branch in branches), "or")
        later = _shifted(base, look, branches) if same_end else _ends(base, end, branches)
        yield wording("asking.effect.told", values=values, told=told, later=later)


def _at_once(base: RuleBase, effect: Effect) -> str:
    names = {name: finish.name for name, finish in base.finishes.items()}
    if effect.set_aside:
        says = effect.set_aside[0].says
        return wording("asking.effect.aside", says=f"{says[0].lower()}{says[1:].rstrip('.')}")
    before, after = effect.before, effect.after
    parts = []
    if after.recommendation != before.recommendation:
        parts.append(wording("asking.effect.answer", recommended=recommended(base, after.recommendation)))
    if effect.fell:
        fallen = [names[each] for each in effect.fell]
        parts.append(wording("asking.effect.fall", names=_some(fallen), n=len(fallen)))
    if effect.came_back:
        back = [names[each] for each in effect.came_back]
        parts.append(wording("asking.effect.come", names=_some(back), n=len(back)))
    gone = [wording("asking.effect.gone", needs=_needs(effect.needs_gone))] if effect.needs_gone else []
    new = [wording("asking.effect.new", needs=_needs(effect.needs_new))] if effect.needs_new else []
    if gone or new:
        parts.append(wording("asking.effect.for", finish=names[after.left[0]], what=", ".join(gone + new)))
    if before.left[:1] == after.left[:1] and before.lead != after.lead and after.lead is not None:
        key = "asking.effect.leads" if before.lead is None else "asking.effect.leads_instead"
        parts.append(wording(key, finish=names[after.left[0]], n=after.lead, was=before.lead))
    if not parts:
        return wording("asking.effect.nothing_alone" if len(effect.branch.turns) > 1 else "asking.effect.nothing")
    what = "; ".join(parts)
    return what if after.recommendation != before.recommendation else wording("asking.effect.stays", what=what)


def _ends(base: RuleBase, end: Recommendation, branches: list[Branch]) -> str:
    return wording("asking.effect.ends", recommended=recommended(base, end), share=percent(_share(end, branches)))


def _shifted(base: RuleBase, look: Outlook, branches: list[Branch]) -> str:
    """The outcome whose share these answers change most, against the share before."""
    shifts = {turn.recommendation: _share(turn.recommendation, branches) - turn.share for turn in look.turns}
    end = max(shifts, key=lambda each: abs(shifts[each]))
    if abs(shifts[end]) < WORTH_TELLING:
        return ""
    now = _share(end, branches)
    was = percent(now - shifts[end])
    return wording("asking.effect.shifts", recommended=recommended(base, end), now=percent(now), before=was)


def _share(end: Recommendation, branches: list[Branch]) -> float:
    likely = sum(b.share * turn.share for b in branches for turn in b.turns if turn.recommendation == end)
    return likely / sum(branch.share for branch in branches)


def _some(names: list[str]) -> str:
    more = len(names) - MOST_NAMED
    return listed([*names[:MOST_NAMED], wording("asking.effect.more", n=more)] if more > 1 else names)


def _needs(needs: tuple[str, ...]) -> str:
    return listed(label("need", each) for each in needs)


def step_told(base: RuleBase, step: Step) -> Iterator[str]:
    """What an answer changed."""
    for aside in step.set_aside:
        yield sentence(wording("asking.unknown", says=aside.says))
        yield from (wording("asking.may_be", what=sentence(each)) for each in aside.explanations)
        yield sentence(wording("asking.decides", test=aside.test))
    for name in step.stops:
        yield sentence(wording("asking.stop", who=base.referrals[name].who))
    for name in step.holds:
        yield sentence(wording("asking.hold", what=base.needs[name].says))
    by_reason: dict[str, list[str]] = {}
    for standing in step.fell:
        by_reason.setdefault(standing.ruled_out_by[0].rule, []).append(standing.finish)
    for rule, finishes in by_reason.items():
        reason = next(s.ruled_out_by[0].because for s in step.fell if s.finish == finishes[0])
        names = listed(base.finishes[finish].name for finish in finishes)
        yield wording("asking.fell", names=names, because=reason, rule=rule)
    if step.came_back:
        back = listed(base.finishes[finish].name for finish in step.came_back)
        yield wording("asking.came_back", names=back)
