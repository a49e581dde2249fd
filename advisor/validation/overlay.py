"""What an overlay may not do: take away or weaken what protects people.

Protected are the rules that conclude a caution, a referral or a hold, the rules that conclude a finding on which one
of those builds, and the texts of what they conclude. Each protected rule is compared with itself before and after,
as ground rules, so that it does not matter whether the rule, a limit, a finish or a property was replaced: wherever
it fired before it must still fire, and conclude at least the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.errors import Fault
from advisor.model.conditions import Comparison, parse_condition
from advisor.model.grounding import Conclusion, Pattern, ground_one
from advisor.model.knowledge import SEVERITIES, Entry, FactKind, Rule, RuleBase
from advisor.validation.read_by_formulas import read_by

Where = Callable[..., str]
INSTEAD = "Add to it, or write another entry beside it under an id of your own."
WORDING = {"ask", "find_out", "means", "why"}  # of a fact; the rest decides what a rule makes of it


def weakened(below: RuleBase, above: RuleBase, where: Where) -> list[Fault]:
    """What an overlay takes away of the safeguards beneath it.

    Args:
        below: the rule base without the overlay, sound in itself.
        above: the rule base with it, sound in itself.
        where: gives file and line of an entry of the upper one.
    """
    faults: dict[str, Fault] = {}
    protected = protected_rules(below)
    resting = _resting(below, protected)
    found = (*_texts(below, above, protected), *_facts(below, above, resting), *_data(below, above, resting))
    for section, name, what in found:
        faults[what] = Fault(where(section, name), what, remedy=INSTEAD)
    builds_on = {fact for rule in protected for fact in rule.when}
    for rule in protected:
        now = above.rules[rule.id]
        if _shortened(rule, now, "because"):
            what = f"{rule.id} protects people; its reason and sources may be added to, not shortened"
            faults[what] = Fault(where("rules", rule.id), what, remedy=INSTEAD)
        for finish in _lost(below, above, rule, builds_on):
            about = f" for {finish}" if finish else ""
            section, name = _culprit(below, above, rule, finish)
            what = f"{rule.id} protects people; the new {name} would make it fire less often{about}, or conclude less"
            faults[rule.id] = Fault(where(section, name), what, remedy=INSTEAD)
    return list(faults.values())


def protected_rules(base: RuleBase) -> list[Rule]:
    """The rules that conclude a caution, a referral or a hold, and those whose findings they build on."""
    concluding: dict[str, list[Rule]] = {}
    for rule in base.rules.values():
        for finding in rule.then.finding:
            concluding.setdefault(finding, []).append(rule)
    found = {rule.id: rule for rule in base.rules.values() if rule.then.caution or rule.then.refer or rule.then.hold}
    queue = list(found.values())
    while queue:
        for fact in queue.pop().when:
            new = [rule for rule in concluding.get(fact, ()) if rule.id not in found]
            found.update((rule.id, rule) for rule in new)
            queue += new
    return list(found.values())


def _lost(below: RuleBase, above: RuleBase, rule: Rule, builds_on: set[str]) -> Iterator[str]:
    """The finishes (or "" for the floor) for which the rule now fires less often, or concludes less."""
    kept = [(form.patterns, set(form.conclusions)) for form in ground_one(above, above.rules[rule.id])]
    for form in ground_one(below, rule):
        for finish in form.finishes or ("",):
            owed = {c for c in form.conclusions if c.finish in ("", finish) and _protects(c, builds_on)}
            if not any(owed <= got and _implies(form.patterns, patterns) for patterns, got in kept):
                yield finish


def _protects(conclusion: Conclusion, builds_on: set[str]) -> bool:
    return conclusion.kind in ("caution", "refer", "hold") or (
        conclusion.kind == "finding" and conclusion.name in builds_on
    )


def _implies(before: tuple[Pattern, ...], after: tuple[Pattern, ...]) -> bool:
    """Whether every floor that meets the patterns before surely meets those after."""
    known = {pattern.fact: pattern for pattern in before}
    return all(pattern.fact in known and _within(known[pattern.fact], pattern) for pattern in after)


def _within(narrow: Pattern, wide: Pattern) -> bool:
    if wide.values is not None:
        return narrow.values is not None and narrow.values <= wide.values
    return wide.known in (None, narrow.known) and all(
        any(_tighter(mine, other) for mine in narrow.comparisons) for other in wide.comparisons
    )


def _tighter(mine: Comparison, other: Comparison) -> bool:
    """Whether what meets one comparison surely meets the other (an interval's low end is never above its high)."""
    upward = other.op in (">", ">=")
    if (mine.op in (">", ">=")) != upward:
        return False
    if mine.end != other.end and mine.end != ("low" if upward else "high"):
        return False
    if mine.bound == other.bound:
        return mine.op == other.op or len(mine.op) == 1  # strict implies not strict
    return mine.bound > other.bound if upward else mine.bound < other.bound


def _culprit(below: RuleBase, above: RuleBase, rule: Rule, finish: str) -> tuple[str, str]:
    """The replaced entry that weakened the rule: the rule itself, or else what it compares with."""
    parts = [part for part in (rule.when, rule.judges) if isinstance(part, dict)]
    candidates = [("rules", rule.id), *(("limits", name) for part in parts for name in _limits(part))]
    candidates += [("finishes", finish)] if finish else []
    candidates += [("findings", name) for name in (*rule.when, *rule.then.finding) if name in below.findings]
    candidates += [("properties", name) for name in below.properties]
    candidates += [("facts", name) for name in rule.when if name in below.facts]
    changed = [(s, n) for s, n in candidates if getattr(below, s).get(n) != getattr(above, s).get(n)]
    return changed[0] if changed else ("rules", rule.id)


def _limits(when: dict[str, tuple[str, ...]]) -> list[str]:
    """The limits that conditions compare with."""
    operands = [parse_condition(text).operand for texts in when.values() for text in texts]
    return [each.removeprefix("limit.") for each in operands if each.startswith("limit.")]


def _texts(below: RuleBase, above: RuleBase, protected: list[Rule]) -> Iterator[tuple[str, str, str]]:
    """Cautions, referrals and needs to which an overlay may only add; what tasks warn of, what is worn."""
    for name, caution in below.cautions.items():
        now = above.cautions[name]
        if SEVERITIES.index(now.severity) > SEVERITIES.index(caution.severity):
            yield "cautions", name, f"the caution {name} is a {caution.severity}; it cannot become a {now.severity}"
        elif now.step != caution.step or _shortened(caution, now, "says", "title"):
            yield "cautions", name, f"the caution {name} may be added to, not shortened or moved to another step"
    for name, referral in below.referrals.items():
        then = above.referrals[name]
        if referral.stop and not then.stop:
            yield "referrals", name, f"the referral {name} stops the work; it cannot become mere advice"
        elif _shortened(referral, then, "who", "tell"):
            yield "referrals", name, f"the referral {name} may be added to, not shortened"
    for name in {need: None for rule in protected for need in rule.then.hold}:
        if _shortened(below.needs[name], above.needs[name], "says"):
            yield "needs", name, f"{name} holds the work; what it says may be added to, not shortened"
        elif above.needs[name].kind == "ask" != below.needs[name].kind:
            yield "needs", name, f"{name} holds the work; it cannot become a mere question"
    for name, task in below.tasks.items():
        if lost := sorted(set(task.cautions) - set(above.tasks[name].cautions)):
            yield "tasks", name, f"the task {name} warns of {', '.join(lost)}; laid over, it would no longer"
    for name, material in below.materials.items():
        if lost := sorted(set(material.against) - set(above.materials[name].against)):
            yield "materials", name, f"{name} is worn against {', '.join(lost)}; laid over, it would no longer"
        if lost := sorted(set(material.brings) - set(above.materials[name].brings)):
            yield "materials", name, f"{name} brings {', '.join(lost)} into each step; laid over, it would no longer"


def _shortened(before: Entry, now: Entry, *fields: str) -> bool:
    """Whether some text no longer stands within the new one, or fewer sources are named."""
    kept = all(_plain(getattr(before, name)) in _plain(getattr(now, name)) for name in fields)
    return not kept or not set(getattr(before, "source", ())) <= set(getattr(now, "source", ()))


def _plain(text: str) -> str:
    return " ".join(text.split())


def _resting(base: RuleBase, protected: list[Rule]) -> set[str]:
    """The facts that safeguards rest on, and those that these are computed from."""
    found = {fact for rule in protected for fact in rule.when if fact in base.facts}
    queue = list(found)
    while queue:
        computed = base.facts[queue.pop()].computed
        new = set(computed.inputs if computed else ()) - found
        found |= new
        queue += new
    return found


def _facts(below: RuleBase, above: RuleBase, resting: set[str]) -> Iterator[tuple[str, str, str]]:
    """Facts that safeguards rest on: they may be worded anew, but must be read as before, and not be set aside."""
    for name in sorted(resting):
        before, now = below.facts[name], above.facts[name]
        if _bare(before) != _bare(now) or (before.ask is None) != (now.ask is None):
            yield "facts", name, f"safeguards rest on the fact {name}; only its wording may be replaced"
    for name, doubt in above.contradictions.items():
        earlier = below.contradictions.get(name)
        if earlier and set(earlier.caution) - set(doubt.caution):
            yield "contradictions", name, f"{name} shows a hazard; it may name more cautions, not fewer"
        elif (aside := sorted(resting & doubt.when.keys())) and doubt.test:
            bounds = [limit for limit in _limits(doubt.when) if below.limits.get(limit) != above.limits[limit]]
            if bounds or not (earlier and earlier.test and earlier.when == doubt.when):
                section, entry = ("limits", bounds[0]) if bounds else ("contradictions", name)
                yield section, entry, f"{name} would set {aside[0]} aside more often, and safeguards rest on that fact"


def _data(below: RuleBase, above: RuleBase, resting: set[str]) -> Iterator[tuple[str, str, str]]:
    """Norms and properties that go into computed facts on which safeguards rest: which way is safe, nobody knows."""
    for section, name in sorted(read_by(below, (fact for fact in resting if below.facts[fact].computed))):
        if section == "norms":
            if below.norms[name].given != above.norms[name].given:
                yield "norms", name, f"{name} goes into a fact that safeguards rest on; its value cannot be replaced"
            continue
        for finish in below.finishes.values():
            if finish.properties[name].given != above.finishes[finish.id].properties[name].given:
                what = f"{name} of {finish.id} goes into a fact that safeguards rest on; its value cannot be replaced"
                yield "finishes", finish.id, what


def _bare(kind: FactKind) -> dict[str, object]:
    return kind.model_dump(exclude=WORDING)
