"""Whether each condition fits what it is about: known names, the right types, units that compare."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.errors import Fault, nearest
from advisor.model.conditions import Asks, parse_condition
from advisor.model.finishes import Property
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import ANY_NUMBER, NotAQuantity, read_figure, show
from advisor.model.vocabulary import FactKind, Quality
from advisor.physics.bounds import Interval
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
        yield Fault(at, wording("facts.no_fact", name=fact), remedy=nearest(fact, (*base.facts, *base.findings)))
        return
    if "finish" in (getattr(finding, "of", ""), getattr(kind, "of", "")) and about != "finish":
        yield Fault(at, wording("rules.of_finish", fact=fact), wording("rules.of_finish_allowed"))
    for text in texts:
        try:
            asks = parse_condition(text)
        except ValueError as error:
            what = wording("rules.condition", fact=fact, condition=text, problem=error)
            yield Fault(at, what, remedy=wording("rules.conditions"))
            continue
        if finding is not None:
            if asks.kind != "holds":
                what = wording("rules.absence", finding=fact, condition=text)
                yield Fault(at, what, wording("rules.absence_allowed"))
        elif kind is not None:
            yield from _told(at, fact, text, _misfits(base, kind, asks, about))


def _told(at: str, name: str, text: str, problems: Iterable[str]) -> Iterator[Fault]:
    for problem in problems:
        yield Fault(at, wording("rules.condition", fact=name, condition=text, problem=problem))


def _misfits(base: RuleBase, kind: Quality, asks: Asks, about: str) -> Iterator[str]:
    """What is wrong with a condition on a fact (or property) of this kind."""
    if asks.kind == "holds":
        yield wording("rules.misfit.holds")
    elif asks.kind == "order":
        if kind.type != "number":
            yield wording("rules.misfit.no_number", values=", ".join(kind.choices))
        else:
            yield from _operand_misfits(base, kind, asks, about)
    elif asks.kind == "among":
        other = base.properties.get(asks.operand.removeprefix("finish."))
        if about != "finish":
            yield wording("rules.misfit.no_finish")
        elif other is None:
            yield wording("rules.misfit.no_property", name=asks.operand)
        elif kind.type == "number" or set(other.choices) - set(kind.choices):
            yield wording("rules.misfit.other_values", property=asks.operand)
    elif asks.kind == "values":
        if kind.type == "number":
            yield wording("rules.misfit.number")
            return
        for value in set(asks.values) - set(kind.choices):
            values = ", ".join(kind.choices)
            told = wording("rules.misfit.value", value=value, values=values)
            yield f"{told} {nearest(value, kind.choices)}".strip()


def _plausible(kind: Quality) -> Interval:
    """What a fact, or a property of any finish, can plausibly be."""
    if isinstance(kind, FactKind):
        return kind.plausible
    return read_figure(kind.range, kind.unit) if isinstance(kind, Property) and kind.range else ANY_NUMBER


def _operand_misfits(base: RuleBase, kind: Quality, asks: Asks, about: str) -> Iterator[str]:
    where, name = asks.operand.split(".")
    if where == "limit":
        if name not in base.limits:
            yield f"{wording('rules.no.limit', name=name)}. {nearest(name, base.limits)}".strip()
            return
        given, plausible = base.limits[name].given, _plausible(kind)
        try:
            read = read_figure(given, kind.unit)
        except NotAQuantity as error:
            yield wording("rules.misfit.limit", limit=name, given=given, problem=error)
        else:
            if not plausible.low <= read.low <= read.high <= plausible.high:
                yield wording("rules.limit_range", limit=name, given=given, range=show(plausible, kind.unit))
    elif where == "finish":
        if about != "finish":
            yield wording("rules.misfit.no_finish")
        elif name not in base.properties:
            yield f"{wording('rules.no.property', name=name)}. {nearest(name, base.properties)}".strip()
        elif base.properties[name].unit != kind.unit:
            unit = base.properties[name].unit
            yield wording("rules.misfit.units", property=name, unit=unit, own=kind.unit)
    elif about != "fact":
        yield wording("rules.misfit.two_facts")
    elif name not in base.facts or base.facts[name].unit != kind.unit:
        yield wording("rules.misfit.not_in_unit", fact=name, unit=kind.unit)


def check_judges(base: RuleBase, name: str, texts: tuple[str, ...], at: str) -> Iterator[Fault]:
    """Faults of the conditions on one property in a rule's `judges`."""
    kind = base.properties.get(name)
    if kind is None and name != "id":
        what = wording("rules.no_property", name=name)
        yield Fault(at, what, remedy=nearest(name, base.properties))
        return
    for text in texts:
        try:
            asks = parse_condition(text)
        except ValueError as error:
            yield from _told(at, name, text, [str(error)])
            continue
        if name == "id":
            for finish in set(asks.values) - base.finishes.keys():
                yield Fault(at, wording("rules.no.finish", name=finish), remedy=nearest(finish, base.finishes))
        elif kind is not None:
            if asks.kind not in ("values", "order"):
                what = wording("rules.always_known", property=name, condition=text)
                yield Fault(at, what, wording("rules.always_known_allowed"))
            yield from _told(at, name, text, _misfits(base, kind, asks, "finish"))
