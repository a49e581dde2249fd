"""Whether rules without variables can fire at all, do not feed themselves, and stay within the engine's limits."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from graphlib import CycleError, TopologicalSorter

from advisor.engines.packing import MOST_CONDITIONS_ON_A_FACT, MOST_NETWORKS_OF_A_TOPIC, conditions_in, pack
from advisor.errors import Fault
from advisor.model.grounding import judged
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule
from advisor.model.rules import Rule
from explanations.wording import wording

Where = Callable[..., str]


def check_grounded(base: RuleBase, rule: Rule, forms: list[GroundRule], where: Where) -> Iterator[Fault]:
    """Whether a rule judges some finish, can hold for some floor, and asks few enough values of each fact."""
    if not forms and rule.judges is not None and not judged(base, rule):
        yield Fault(where("rules", rule.id), wording("rules.judges_none", rule=rule.id))
    elif not forms:
        yield Fault(where("rules", rule.id, "when"), wording("rules.never_together", rule=rule.id))
    for pattern in {pattern for form in forms for pattern in form.patterns}:
        if conditions_in(pattern) > MOST_CONDITIONS_ON_A_FACT:
            yield Fault(
                where("rules", rule.id, "when"),
                wording("rules.allows", rule=rule.id, n=conditions_in(pattern), fact=pattern.fact),
                wording("rules.allows_allowed", n=MOST_CONDITIONS_ON_A_FACT),
            )


def check_acyclic(grounded: list[GroundRule], where: Where) -> Iterator[Fault]:
    """Whether some finding depends on itself; the message prints the loop."""
    feeds: dict[str, set[str]] = defaultdict(set)
    rule_of: dict[tuple[str, str], str] = {}  # by what it concludes and what it builds on
    for form in grounded:
        for finding in form.findings:
            feeds[finding] |= {pattern.fact for pattern in form.patterns}
            for pattern in form.patterns:
                rule_of.setdefault((finding, pattern.fact), form.rule)
    try:
        TopologicalSorter(feeds).prepare()
    except CycleError as error:
        before, after = error.args[1][:2]
        what = wording("rules.cycle", loop=" < ".join(error.args[1]))
        yield Fault(where("rules", rule_of[after, before]), what, wording("rules.cycle_allowed"))


def check_engine_limits(grounded: list[GroundRule], where: Where) -> Iterator[Fault]:
    """Whether the rules of a topic fit into the engine's networks."""
    for topic in sorted({form.topic for form in grounded}):
        forms = [form for form in grounded if form.topic == topic]
        packs = pack(forms)
        if len(packs) > MOST_NETWORKS_OF_A_TOPIC:
            patterns = {pattern for form in forms for pattern in form.patterns}
            counts = Counter({p.fact: 0 for p in patterns})
            for pattern in patterns:
                counts[pattern.fact] += conditions_in(pattern)
            fact, count = counts.most_common(1)[0]
            yield Fault(
                where("rules", forms[0].rule),
                wording("rules.topic", n=count, fact=fact, topic=topic),
                wording("rules.topic_allowed", n=MOST_CONDITIONS_ON_A_FACT * MOST_NETWORKS_OF_A_TOPIC),
            )
