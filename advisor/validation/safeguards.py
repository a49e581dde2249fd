"""What of a rule base protects people: which rules, what of their conclusions, and the facts that these rest on.

Two kinds. What keeps people from harm: each caution, referral and hold, and what rules marked `protects` rule out or
ask for first. And what decides: the needs without which no finish is recommended. A rule of the first kind is held to
the figures of the finishes as they were; all others, and what they find, follow a finish's own figures: a limit that
another product stands is no safety matter.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable

from advisor.model.conditions import parse_condition
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion
from advisor.model.rules import Rule

Guards = Callable[[RuleBase, Rule], bool]


def keeps_from_harm(_: RuleBase, rule: Rule) -> bool:
    """Whether a rule warns, refers or holds, or is marked as one that protects."""
    return bool(rule.then.caution or rule.then.refer or rule.then.hold or rule.protects)


def decides(base: RuleBase, rule: Rule) -> bool:
    """Whether a rule asks for something first without which no finish is recommended."""
    return any(base.needs[need].decides for need in rule.then.first)


def protected_rules(base: RuleBase, which: Guards = keeps_from_harm) -> list[Rule]:
    """The rules that guard, and those whose findings they build on."""
    concluding: dict[str, list[Rule]] = {}
    for rule in base.rules.values():
        for finding in rule.then.finding:
            concluding.setdefault(finding, []).append(rule)
    found = {rule.id: rule for rule in base.rules.values() if which(base, rule)}
    queue = list(found.values())
    while queue:
        for fact in queue.pop().when:
            new = [rule for rule in concluding.get(fact, ()) if rule.id not in found]
            found.update((rule.id, rule) for rule in new)
            queue += new
    return list(found.values())


def guards(base: RuleBase, rule: Rule) -> bool:
    """Whether a rule keeps people from harm, or asks for what decides."""
    return keeps_from_harm(base, rule) or decides(base, rule)


def is_owed(base: RuleBase, rule: Rule, conclusion: Conclusion, builds_on: Container[str]) -> bool:
    """Whether a conclusion of a rule protects, or is one on which protecting rules build."""
    match conclusion.kind:
        case "finding":
            return conclusion.name in builds_on
        case "caution" | "refer" | "hold":
            return True
        case "rule_out":
            return rule.protects
        case "first":
            return rule.protects or base.needs[conclusion.name].decides
    return False


def limits_in(when: Iterable[tuple[str, ...]]) -> list[str]:
    """The limits that conditions compare with."""
    operands = [parse_condition(text).operand for texts in when for text in texts]
    return [each.removeprefix("limit.") for each in operands if each.startswith("limit.")]


def limits_of(rule: Rule) -> list[str]:
    """The limits that a rule compares with, in its conditions and in those on the finish or cause that it judges."""
    judged = rule.judges.values() if isinstance(rule.judges, dict) else ()
    return list(dict.fromkeys(limits_in([*rule.when.values(), *judged])))


def facts_in(base: RuleBase, rules: Iterable[Rule]) -> set[str]:
    """The facts that rules rest on, those that they are compared with, and those that these are computed from."""
    found = {fact for rule in rules for fact in rule.when if fact in base.facts}
    queue = list(found)
    while queue:
        computed = base.facts[queue.pop()].computed
        new = set(computed.inputs if computed else ()) - found
        found |= new
        queue += new
    return found


def facts_of_work(base: RuleBase) -> set[str]:
    """The facts that tell which steps a floor needs, and how they are told there."""
    steps = {fact for each in base.procedures.values() for step in each.steps for fact in (*step.where, *step.above)}
    return steps | {fact for task in base.tasks.values() for each in task.elsewhere for fact in each.where}


def stop_rules(base: RuleBase) -> list[Rule]:
    """The rules that stop the work, and those whose findings they build on."""
    return protected_rules(base, lambda base, rule: any(base.referrals[each].stop for each in rule.then.refer))
