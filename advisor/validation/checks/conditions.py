"""Whether each condition fits what it is about: known names, the right types, units that compare."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.errors import Fault, nearest
from advisor.model.conditions import Asks, parse_condition
from advisor.model.knowledge import FactKind, Property, Quality, RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity, show
from advisor.physics.bounds import Interval
from advisor.rulebase.rule_values import ANY_NUMBER
from explanations.wording import wording


def check_conditions(base: RuleBase, fact: str, texts: tuple[str, ...], at: str, about: str) -> Iterator[Fault]:
    """Faults of the conditions on one fact.

    Args:
        base: the rule base.
        fact: the fact or finding.
        texts: the conditions on it.
        at: file and line.
        about: "finish" or "floor" in a rule, "fact" in a contradiction, which compares facts with each other.
    """
    finding = base.findings.get(fact)
    kind = base.facts.get(fact)
    if finding is None and kind is None:
        yield Fault(at, f'I do not know the fact "{fact}"', remedy=nearest(fact, (*base.facts, *base.findings)))
        return
    if "finish" in (getattr(finding, "of", ""), getattr(kind, "of", "")) and about != "finish":
        yield Fault(at, f"{fact} is about a finish, and this judges none", "add `judges:`")
    for text in texts:
        try:
            asks = parse_condition(text)
        except ValueError as error:
            yield Fault(at, f'{fact}: "{text}": {error}', remedy="The conditions are listed in DEVELOPERS.md.")
            continue
        if finding is not None:
            if asks.kind != "holds":
                yield Fault(
                    at,
                    f'{fact} is a finding, and "{text}" would test for its absence',
                    "`holds`, and nothing else",
                )
        elif kind is not None:
            yield from (Fault(at, f'{fact}: "{text}": {problem}') for problem in _misfits(base, kind, asks, about))


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
            return
        for value in set(asks.values) - set(kind.choices):
            values = ", ".join(kind.choices)
            yield f'"{value}" is not one of its values: {values}. {nearest(value, kind.choices)}'.strip()


def _plausible(kind: Quality) -> Interval:
    """What a fact, or a property of any finish, can plausibly be."""
    if isinstance(kind, FactKind):
        return kind.plausible
    return read_quantity(kind.range, kind.unit, ANY_NUMBER) if isinstance(kind, Property) and kind.range else ANY_NUMBER


def _operand_misfits(base: RuleBase, kind: Quality, asks: Asks, about: str) -> Iterator[str]:
    where, name = asks.operand.split(".")
    if where == "limit":
        if name not in base.limits:
            yield f'there is no limit "{name}". {nearest(name, base.limits)}'.strip()
            return
        given, plausible = base.limits[name].given, _plausible(kind)
        try:
            read = read_quantity(given, kind.unit, ANY_NUMBER)
        except NotAQuantity as error:
            yield f'the limit {name} is "{given}": {error}'
        else:
            if not plausible.low <= read.low <= read.high <= plausible.high:
                yield wording("rules.limit_range", limit=name, given=given, range=show(plausible, kind.unit))
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


def check_judges(base: RuleBase, name: str, texts: tuple[str, ...], at: str) -> Iterator[Fault]:
    """Faults of the conditions on one property in a rule's `judges`."""
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
            yield from (Fault(at, f'{name}: "{text}": {problem}') for problem in _misfits(base, kind, asks, "finish"))
