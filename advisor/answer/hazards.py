"""What can hurt someone on a floor: what rules warn of, what the steps of the work carry, and which is told in full.

Every hazard is named wherever an answer is given. Where room is short, those that come with the work as such (`usual`)
are named only. So is one of which nobody can say whether it is there, as the facts that it hangs on are unknown; and
one of which these facts, as stated, give no rule a ground to warn: then it lies only in what the work is done with.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.answer.step_cautions import cautions_of, needed, standing_steps, step_cautions
from advisor.facts.setting_aside import SetAside
from advisor.model.knowledge import RuleBase
from advisor.model.rules import SEVERITIES
from advisor.model.standing import Hazard, Reason, WorkStep
from advisor.model.values import Value
from explanations.trace import Firing, Trace
from explanations.words import sentence


def hazards(
    base: RuleBase, memory: Mapping[str, Value], trace: Trace, aside: tuple[SetAside, ...], left: list[str]
) -> tuple[Hazard, ...]:
    """What rules warn of, and what the steps of the work with each finish that is left carry; gravest first.

    Args:
        base: the rule base.
        memory: the working memory.
        trace: what fired.
        aside: what was set aside, with the hazards that count meanwhile.
        left: the finishes that are not ruled out.
    """
    warned = _warned(trace)
    concluded = {**{name: [] for each in aside for name in each.cautions}, **warned}
    finishes = {name: dict.fromkeys(f.finish for f in firings if f.finish) for name, firings in concluded.items()}
    steps: dict[str, dict[str, None]] = {}
    for finish in left:
        for name, titles in step_cautions(base, memory, finish).items():
            finishes.setdefault(name, {})[finish] = None
            steps.setdefault(name, {}).update(dict.fromkeys(titles))
    meanwhile = {name for each in aside for name in each.cautions}
    found = []
    for name, about in finishes.items():
        caution, firings = base.cautions[name], concluded.get(name, [])
        known = name in meanwhile or not caution.hangs_on or any(memory[each].known for each in caution.hangs_on)
        found.append(
            Hazard(
                caution=name,
                title=caution.named(name),
                severity=caution.severity,
                step=caution.step,
                says=sentence(caution.says),
                brief=sentence(caution.brief or caution.says),
                floor=name in meanwhile or any(not firing.finish for firing in firings),
                finishes=tuple(about),
                reasons=tuple(dict.fromkeys(Reason(rule=each.rule, because=each.because) for each in firings)),
                steps=tuple(steps.get(name, ())),
                in_full=not caution.usual and known and (not caution.hangs_on or name in meanwhile or bool(firings)),
                hangs_on=() if known else caution.hangs_on,
            )
        )
    return tuple(sorted(found, key=lambda hazard: SEVERITIES.index(hazard.severity)))


def work_steps(base: RuleBase, memory: Mapping[str, Value], finish: str) -> tuple[WorkStep, ...]:
    """The steps of putting a finish on this floor, in order, with the hazards that each carries."""
    return tuple(
        WorkStep(
            title=step.title or base.tasks[step.do].title,
            certain=bool(needed(base, step, memory)),
            cautions=cautions_of(base, base.tasks[step.do], step.uses),
        )
        for procedure in base.procedures.values()
        if finish in procedure.finishes
        for step in standing_steps(base, procedure, memory)
    )


def _warned(trace: Trace) -> dict[str, list[Firing]]:
    found: dict[str, list[Firing]] = {}
    for firing in trace.firings:
        for conclusion in firing.conclusions:
            if conclusion.kind == "caution":
                found.setdefault(conclusion.name, []).append(firing)
    return found
