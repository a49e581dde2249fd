"""What a rule base must satisfy before it may reason: names, types, no cycles, within the engine's limits."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator
from graphlib import CycleError, TopologicalSorter

from advisor.conditions import Asks, parse_condition
from advisor.errors import Fault, nearest
from advisor.grounding import GroundRule, ground_one, judged
from advisor.knowledge import Quality, Rule, RuleBase
from advisor.packing import (
    MOST_CONDITIONS_ON_A_FACT,
    MOST_NETWORKS_OF_A_TOPIC,
    MOST_PATTERNS,
    conditions_in,
    pack,
)
from advisor.physics.bounds import Interval
from advisor.quantities import NotAQuantity, read_quantity
from explanations.words import blanks_in

Where = Callable[..., str]
SCOPED = {"rule_out": "finish", "first": "finish", "points": "finish", "hold": "floor"}


def check(base: RuleBase, where: Where) -> list[Fault]:
    """Every fault of meaning in the rule base.

    Args:
        base: well-formed sections.
        where: gives file and line of an entry: section, id, and places inside it.
    """
    faults = [*_check_facts(base, where), *_check_sources(base, where), *_check_criteria(base, where)]
    grounded: list[GroundRule] = []
    for rule in base.rules.values():
        found = list(_check_rule(base, rule, where))
        faults += found
        if not found:
            forms = ground_one(base, rule)
            faults += _check_grounded(base, rule, forms, where)
            grounded += forms
    for name, contradiction in base.contradictions.items():
        for fact, texts in contradiction.when.items():
            faults += _check_conditions(
                base, fact, texts, where("contradictions", name, "when", fact), "fact"
            )
    faults += _check_acyclic(grounded, where)
    faults += _check_engine_limits(grounded, where)
    return faults


def _check_facts(base: RuleBase, where: Where) -> Iterator[Fault]:
    for name, kind in base.facts.items():
        for needed in kind.computed.inputs if kind.computed else ():
            if needed not in base.facts:
                yield Fault(
                    where("facts", name, "computed"),
                    f'I do not know the fact "{needed}"',
                    remedy=nearest(needed, base.facts),
                )
        if kind.ask is None and kind.computed is None:
            yield Fault(where("facts", name), f"{name} has neither a question nor a computation")
        if kind.type == "choice" and not kind.values:
            yield Fault(where("facts", name), f'the choice "{name}" lists no values')
    for finish in base.finishes.values():
        for name, value in finish.properties.items():
            for source in _unknown_sources(base, value.source):
                yield Fault(
                    where("finishes", finish.id),
                    f'{finish.id}, {name}: there is no source "{source}"',
                    remedy=nearest(source, base.sources),
                )


def _unknown_sources(base: RuleBase, named: Iterable[str]) -> list[str]:
    return [source for each in named if (source := source_id(each)) not in base.sources]


def source_id(named: str) -> str:
    """The id in `astm_f710, section 5`."""
    return named.split(",")[0].strip()


def _check_sources(base: RuleBase, where: Where) -> Iterator[Fault]:
    named: list[tuple[str, str, Iterable[str]]] = []
    named += [("rules", name, rule.source) for name, rule in base.rules.items()]
    named += [("limits", name, limit.source) for name, limit in base.limits.items()]
    named += [("needs", name, need.source) for name, need in base.needs.items()]
    named += [("cautions", name, caution.source) for name, caution in base.cautions.items()]
    named += [("referrals", name, referral.source) for name, referral in base.referrals.items()]
    named += [("facts", name, [kind.assume.source]) for name, kind in base.facts.items() if kind.assume]
    for section, name, sources in named:
        for source in _unknown_sources(base, sources):
            yield Fault(
                where(section, name),
                f'{name}: there is no source "{source}"',
                remedy=nearest(source, base.sources),
            )


def _check_criteria(base: RuleBase, where: Where) -> Iterator[Fault]:
    for name, criterion in base.criteria.items():
        kind = base.facts.get(criterion.importance)
        if kind is None or set(kind.choices) != set(base.importance):
            yield Fault(
                where("criteria", name),
                f'"{criterion.importance}" must be a fact with the values under `importance`',
            )


def _check_rule(base: RuleBase, rule: Rule, where: Where) -> Iterator[Fault]:
    at = where("rules", rule.id)
    if len(rule.when) > MOST_PATTERNS:
        yield Fault(
            at,
            f"{rule.id} has {len(rule.when)} conditions",
            f"{MOST_PATTERNS} at most; the engine would silently never fire it",
        )
    if not rule.when and rule.judges is None:
        yield Fault(at, f"{rule.id} has no conditions and judges no finish")
    for fact, texts in rule.when.items():
        yield from _check_conditions(
            base, fact, texts, where("rules", rule.id, "when", fact), "finish" if rule.judges else "floor"
        )
    if isinstance(rule.judges, dict):
        for name, texts in rule.judges.items():
            yield from _check_judges(base, name, texts, where("rules", rule.id, "judges", name))
    yield from _check_then(base, rule, at)
    yield from _check_reason(base, rule, where("rules", rule.id, "because"))


def _check_conditions(
    base: RuleBase, fact: str, texts: tuple[str, ...], at: str, about: str
) -> Iterator[Fault]:
    finding = base.findings.get(fact)
    kind = base.facts.get(fact)
    if finding is None and kind is None:
        yield Fault(
            at, f'I do not know the fact "{fact}"', remedy=nearest(fact, (*base.facts, *base.findings))
        )
        return
    if "finish" in (getattr(finding, "of", ""), getattr(kind, "of", "")) and about != "finish":
        yield Fault(at, f"{fact} is about a finish, and this judges none", "add `judges:`")
    for text in texts:
        try:
            asks = parse_condition(text)
        except ValueError as error:
            yield Fault(
                at, f'{fact}: "{text}": {error}', remedy="The conditions are listed in DEVELOPERS.md."
            )
            continue
        if finding is not None:
            if asks.kind != "holds":
                yield Fault(
                    at,
                    f'{fact} is a finding, and "{text}" would test for its absence',
                    "`holds`, and nothing else",
                )
        elif kind is not None:
            yield from (
                Fault(at, f'{fact}: "{text}": {problem}') for problem in _misfits(base, kind, asks, about)
            )


def _misfits(base: RuleBase, kind: Quality, asks: Asks, about: str) -> Iterator[str]:
    """What is wrong with a condition on a fact (or property) of this kind."""
    if asks.kind == "holds":
        yield "only a finding holds"
    elif asks.kind == "order":
        if kind.type != "number":
            yield f"it is no number; its values are {', '.join(kind.choices)}"
        else:
            yield from _operand_misfits(base, kind, asks, about)
    elif asks.kind == "among":
        other = base.properties.get(asks.operand.removeprefix("finish."))
        if about != "finish":
            yield "it compares with a finish, and this judges none"
        elif other is None:
            yield f"I do not know the property {asks.operand}"
        elif kind.type == "number" or set(other.choices) - set(kind.choices):
            yield f"{asks.operand} has values that this fact does not have"
    elif asks.kind == "values":
        if kind.type == "number":
            yield "it is a number, compared by above, at least, below, at most"
        for value in set(asks.values) - set(kind.choices):
            values = ", ".join(kind.choices)
            yield f'"{value}" is not one of its values: {values}. {nearest(value, kind.choices)}'.strip()


def _operand_misfits(base: RuleBase, kind: Quality, asks: Asks, about: str) -> Iterator[str]:
    where, name = asks.operand.split(".")
    if where == "limit":
        if name not in base.limits:
            yield f'there is no limit "{name}". {nearest(name, base.limits)}'.strip()
            return
        try:
            read_quantity(base.limits[name].given, kind.unit, Interval(-1e15, 1e15))
        except NotAQuantity as error:
            yield f'the limit {name} is "{base.limits[name].given}": {error}'
    elif where == "finish":
        if about != "finish":
            yield "it compares with a finish, and this judges none"
        elif name not in base.properties:
            yield f'there is no property "{name}". {nearest(name, base.properties)}'.strip()
        elif base.properties[name].unit != kind.unit:
            yield f'the property {name} is in "{base.properties[name].unit}", this fact in "{kind.unit}"'
    elif about != "fact":
        yield "only a contradiction compares two facts"
    elif name not in base.facts or base.facts[name].unit != kind.unit:
        yield f'"{name}" is not a fact in "{kind.unit}"'


def _check_judges(base: RuleBase, name: str, texts: tuple[str, ...], at: str) -> Iterator[Fault]:
    kind = base.properties.get(name)
    if kind is None and name != "id":
        yield Fault(at, f'I do not know the property "{name}"', remedy=nearest(name, base.properties))
        return
    for text in texts:
        try:
            asks = parse_condition(text)
        except ValueError as error:
            yield Fault(at, f'{name}: "{text}": {error}')
            continue
        if name == "id":
            for finish in set(asks.values) - base.finishes.keys():
                yield Fault(at, f'there is no finish "{finish}"', remedy=nearest(finish, base.finishes))
        elif kind is not None:
            if asks.kind not in ("values", "order"):
                yield Fault(
                    at,
                    f'{name}: "{text}": a property is always known',
                    "a value, or a comparison with a limit",
                )
            yield from (
                Fault(at, f'{name}: "{text}": {problem}') for problem in _misfits(base, kind, asks, "finish")
            )


def _check_then(base: RuleBase, rule: Rule, at: str) -> Iterator[Fault]:
    then = rule.then
    named: dict[str, tuple[Iterable[str], Collection[str]]] = {
        "finding": (then.finding, base.findings),
        "first": (then.first, base.needs),
        "hold": (then.hold, base.needs),
        "points": (then.points, base.criteria),
        "caution": (then.caution, base.cautions),
        "refer": (then.refer, base.referrals),
    }
    for key, (names, known) in named.items():
        for name in names:
            if name not in known:
                yield Fault(at, f'{rule.id}, {key}: there is no "{name}"', remedy=nearest(name, known))
    said = {key for key, (names, _) in named.items() if names} | ({"rule_out"} if then.rule_out else set())
    if not said:
        yield Fault(at, f"{rule.id} concludes nothing")
    about = "finish" if rule.judges else "floor"
    for key in said:
        if SCOPED.get(key, about) != about:
            yield Fault(
                at, f"{rule.id}: `{key}` is about the {SCOPED[key]}, but the rule is about the {about}"
            )
    for name in then.finding:
        if name in base.findings and base.findings[name].of == "finish" and about == "floor":
            yield Fault(at, f"{rule.id}: the finding {name} is about a finish, but the rule judges none")


def _check_reason(base: RuleBase, rule: Rule, at: str) -> Iterator[Fault]:
    for name in blanks_in(rule.because):
        if not _can_be_filled(base, rule, name):
            allowed = "a fact in its `when`, finish, finish.PROPERTY, limit.NAME"
            yield Fault(at, f'{rule.id}: the reason names "{{{name}}}"', allowed)


def _can_be_filled(base: RuleBase, rule: Rule, name: str) -> bool:
    where, _, inner = name.partition(".")
    if where == "limit":
        return inner in base.limits
    if where == "finish":
        return rule.judges is not None and (not inner or inner in base.properties)
    return name in rule.when and name in base.facts


def _check_grounded(base: RuleBase, rule: Rule, forms: list[GroundRule], where: Where) -> Iterator[Fault]:
    at = where("rules", rule.id)
    if rule.judges is not None and not judged(base, rule):
        yield Fault(at, f"{rule.id} judges no finish at all; no finish has these properties")
    elif not forms:
        yield Fault(where("rules", rule.id, "when"), f"the conditions of {rule.id} can never hold together")
    for pattern in {pattern for form in forms for pattern in form.patterns}:
        if conditions_in(pattern) > MOST_CONDITIONS_ON_A_FACT:
            yield Fault(
                where("rules", rule.id, "when"),
                f"{rule.id} allows {conditions_in(pattern)} values of {pattern.fact}",
                f"{MOST_CONDITIONS_ON_A_FACT} conditions on one fact at most; the engine aborts beyond",
            )


def _check_acyclic(grounded: list[GroundRule], where: Where) -> Iterator[Fault]:
    feeds: dict[str, set[str]] = defaultdict(set)
    rule_of: dict[str, str] = {}
    for form in grounded:
        for finding in form.findings:
            rule_of.setdefault(finding, form.rule)
            feeds[finding] |= {pattern.fact for pattern in form.patterns}
    try:
        TopologicalSorter(feeds).prepare()
    except CycleError as error:
        loop = " < ".join(str(name) for name in error.args[1])
        yield Fault(
            where("rules", rule_of[error.args[1][0]]), f"findings depend on themselves: {loop}", "no cycles"
        )


def _check_engine_limits(grounded: list[GroundRule], where: Where) -> Iterator[Fault]:
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
                f"{count} different conditions on {fact} in the topic {topic}, too many for the engine",
                f"about {MOST_CONDITIONS_ON_A_FACT * MOST_NETWORKS_OF_A_TOPIC} on one fact in a topic; split the topic",
            )
