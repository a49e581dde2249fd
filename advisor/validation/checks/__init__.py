"""What a rule base must satisfy before it may reason: names, types, no cycles, within the engine's limits.

`rules` looks at each rule, `conditions` at what its conditions compare, `engine` at the rules without variables.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from itertools import combinations

from advisor.errors import Fault, nearest, refusal
from advisor.facts.computing import compute
from advisor.facts.formulas import FORMULAS
from advisor.facts.likelihoods import check_priors
from advisor.model.grounding import ground_one
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule
from advisor.model.quantities import NotAQuantity, read_quantity
from advisor.model.values import unknown
from advisor.model.vocabulary import Computation, FactKind
from advisor.physics.validity import OutsideValidity
from advisor.rulebase.bibliography import citations
from advisor.validation.checks.causes import check_causes
from advisor.validation.checks.conditions import check_conditions
from advisor.validation.checks.conversation import check_conversation
from advisor.validation.checks.engine import check_acyclic, check_engine_limits, check_grounded
from advisor.validation.checks.procedures import check_procedures
from advisor.validation.checks.rules import check_rule, check_twice
from advisor.validation.checks.sheet import check_sheet
from explanations.wording import label, listed, wording

__all__ = ["check"]

Where = Callable[..., str]
NOTHING: Mapping[str, set[str]] = {}


def check(
    base: RuleBase, where: Where, left_out: Mapping[str, set[str]] = NOTHING, below: RuleBase | None = None
) -> list[Fault]:
    """Every fault of meaning in the rule base.

    Args:
        base: well-formed sections.
        where: gives file and line of an entry: section, id, and places inside it.
        left_out: entries by section that were too malformed to read; what only follows from that is not reported.
        below: a sound rule base that it is laid over.
    """
    faults = [*_check_facts(base, where, left_out), *_check_sources(base, where), *_check_criteria(base, where)]
    faults += [*_check_untouched(base, where), *_check_asks(base, where), *_check_ids(base, where)]
    faults += [*_check_windows(base, where), *check_twice(base, where)]
    grounded: list[GroundRule] = []
    for rule in base.rules.values():
        found = list(check_rule(base, rule, where))
        faults += found
        if not found:
            forms = ground_one(base, rule)
            if forms or not left_out.get("finishes"):
                faults += check_grounded(base, rule, forms, where)
            grounded += forms
    for name, contradiction in base.contradictions.items():
        for fact, texts in contradiction.when.items():
            faults += check_conditions(base, fact, texts, where("contradictions", name, "when", fact), "fact")
        for caution in set(contradiction.caution) - base.cautions.keys():
            remedy = nearest(caution, base.cautions)
            faults.append(
                Fault(where("contradictions", name), wording("rules.no.caution", name=caution), remedy=remedy)
            )
    for name, hazard in base.cautions.items():
        for fact in set(hazard.hangs_on) - base.facts.keys():
            what = wording("rules.no.fact", name=fact)
            faults.append(Fault(where("cautions", name), what, remedy=nearest(fact, base.facts)))
    for name, prior in base.priors.items():
        for fact, texts in (pair for each in prior.where for pair in each.when.items()):
            faults += check_conditions(base, fact, texts, where("priors", name), "floor")
    for name in (name for name, limit in base.limits.items() if not limit.given):
        faults.append(Fault(where("limits", name), wording("rules.no_year", name=name), wording("rules.year_norm")))
    faults += check_priors(base, where)
    faults += check_conversation(base, where)
    faults += check_procedures(base, where)
    faults += check_acyclic(grounded, where)
    faults += check_engine_limits(grounded, where)
    faults += check_causes(base, where, below)
    faults += check_sheet(base, where)
    missing = {name for names in left_out.values() for name in names}
    return [fault for fault in faults if not any(re.search(rf'["\.]{name}[}}"]', fault.what) for name in missing)]


def _check_facts(base: RuleBase, where: Where, left_out: Mapping[str, set[str]]) -> Iterator[Fault]:
    unread = left_out.get("properties", set())
    needless = [fault for name in base.facts for fault in _check_needless(base, name, where)]
    yield from needless
    for name, kind in base.facts.items():
        for needed in kind.computed.inputs if kind.computed else ():
            if needed not in base.facts:
                yield Fault(
                    where("facts", name, "computed"),
                    wording("facts.no_fact", name=needed),
                    remedy=nearest(needed, base.facts),
                )
        if kind.computed and base.facts.keys() >= set(kind.computed.inputs) and not needless:
            yield from _check_formula(base, name, kind.computed, where("facts", name, "computed"), unread)
        if kind.ask is not None and kind.of == "finish":
            yield Fault(where("facts", name, "ask"), wording("rules.asked_of_a_finish", fact=name))
        if kind.ask is None and kind.computed is None:
            yield Fault(where("facts", name), wording("rules.no_way_to_know", fact=name))
        companion = base.facts.get(kind.unknown_means)
        if kind.unknown_means and (companion is None or companion.type != "yes/no"):
            what = wording("rules.unknown_means", fact=name, other=kind.unknown_means)
            yield Fault(where("facts", name, "unknown_means"), what, remedy=nearest(kind.unknown_means, base.facts))
        for words, others in kind.says_too.items():
            for other, value in others.items():
                if other not in base.facts or value not in base.facts[other].choices:
                    what = wording("causes.no_value", cause=words, fact=other, value=value)
                    yield Fault(where("facts", name, "says_too"), what)
        for other, implied in kind.implied_by.items():
            says = base.facts[other].choices if other in base.facts else ()
            for value, is_then in implied.items():
                if value not in says or is_then not in kind.choices:
                    what = wording("facts.implies", name=name, other=other, value=value)
                    yield Fault(where("facts", name, "implied_by"), what, ", ".join((*says, *kind.choices)))
        spellings = [each for others in kind.also.values() for each in others]
        for other in sorted({each for each in spellings if each in kind.choices or spellings.count(each) > 1}):
            what = wording("rules.two_values", spelling=other, fact=name)
            yield Fault(where("facts", name, "also"), what)
        for value in kind.also.keys() - set(kind.choices):
            if kind.type == "number" and _is_figure(kind, value):
                continue
            what, allowed = wording("rules.no_value", value=value, fact=name), ", ".join(kind.choices)
            yield Fault(where("facts", name, "also"), what, allowed, nearest(value, kind.choices))
        if kind.type == "choice" and not kind.values:
            yield Fault(where("facts", name), wording("rules.no_values", fact=name))


def _is_figure(kind: FactKind, value: str) -> bool:
    try:
        return bool(read_quantity(value, kind.unit, kind.plausible))
    except NotAQuantity:
        return False


def _check_needless(base: RuleBase, name: str, where: Where) -> Iterator[Fault]:
    """Where a fact is needless must be said by choices, each an input of all that is computed from the fact."""
    for other, texts in base.facts[name].needless_where.items():
        at = where("facts", name, "needless_where", other)
        if other not in base.facts or base.facts[other].type == "number" or base.facts[other].of == "finish":
            yield Fault(at, wording("rules.no_choice", fact=other), remedy=nearest(other, base.facts))
            continue
        yield from check_conditions(base, other, texts, at, "floor")
        for computed, kind in base.facts.items():
            if kind.computed and name in kind.computed.inputs and other not in kind.computed.inputs:
                what = wording("rules.input_too", computed=computed, input=name, other=other)
                yield Fault(where("facts", computed, "computed"), what)


def _check_formula(base: RuleBase, name: str, computed: Computation, at: str, unread: set[str]) -> Iterator[Fault]:
    """Whether the function is there and makes do with the inputs that are named, all of them unknown."""
    if computed.by not in FORMULAS:
        what = wording("rules.no.function", fact=name, name=computed.by)
        yield Fault(at, what, remedy=nearest(computed.by, FORMULAS))
        return
    finish = next(iter(base.finishes.values()), None) if base.facts[name].of == "finish" else None
    if finish is None and base.facts[name].of == "finish":
        return  # every finish is malformed, and told of
    reads = FORMULAS[computed.by].properties
    if unread and (reads is None or unread.intersection(reads)):
        return  # told of, too
    try:
        compute(base, name, {each: unknown(base.facts[each]) for each in computed.inputs}, finish)
    except KeyError as error:
        needs = error.args[0]
        yield Fault(at, wording("rules.needs_more", fact=name, function=computed.by, input=needs))
    except OutsideValidity as error:
        what = wording("rules.beyond", fact=name, why=refusal(*error.args))
        yield Fault(at, what, remedy=wording("rules.within", inputs=listed(computed.inputs)))


def _check_sources(base: RuleBase, where: Where) -> Iterator[Fault]:
    for each in citations(base):
        if each.source not in base.sources:
            yield Fault(
                where(each.section, each.entry, *each.part),
                wording("rules.no.source", entry=each.name, name=each.source),
                remedy=nearest(each.source, base.sources),
            )


def _check_untouched(base: RuleBase, where: Where) -> Iterator[Fault]:
    for section, entries in (("needs", base.needs), ("referrals", base.referrals)):
        for name, entry in entries.items():
            for fact in entry.untouched:
                if fact not in base.facts:
                    what = wording("rules.no.fact_for", entry=name, name=fact)
                    yield Fault(where(section, name, "untouched"), what, remedy=nearest(fact, base.facts))


def _check_asks(base: RuleBase, where: Where) -> Iterator[Fault]:
    """Whether a need of the kind `ask`, and no other, names a fact that a person can be asked for."""
    askable = [name for name, kind in base.facts.items() if kind.ask and kind.of == "floor"]
    for name, need in base.needs.items():
        if need.kind == "ask" and need.asks not in askable:
            what = wording("rules.cannot_ask" if need.asks else "rules.asks_nothing", need=name, fact=need.asks or "")
            remedy = nearest(need.asks or "", askable)
            yield Fault(where("needs", name), what, wording("rules.askable"), remedy)
        elif need.kind != "ask" and need.asks:
            yield Fault(where("needs", name), wording("rules.asks_though", need=name), "kind: ask")


def _check_criteria(base: RuleBase, where: Where) -> Iterator[Fault]:
    for name, criterion in base.criteria.items():
        kind = base.facts.get(criterion.importance)
        if kind is None or set(kind.choices) != set(base.importance):
            yield Fault(
                where("criteria", name),
                wording("rules.importance", fact=criterion.importance),
            )


def _check_ids(base: RuleBase, where: Where) -> Iterator[Fault]:
    """Whether what is told apart by its id alone can be: facts and findings; needs, cautions and referrals."""
    for first, second in (("facts", "findings"), *combinations(("needs", "cautions", "referrals"), 2)):
        for name in getattr(base, first).keys() & getattr(base, second).keys():
            what = wording("rules.same_id", name=name, first=label("section", first), second=label("section", second))
            yield Fault(where(second, name), what)


def _check_windows(base: RuleBase, where: Where) -> Iterator[Fault]:
    """Whether each finish has temperatures at which it may go on."""
    if not {"lowest_temperature", "highest_temperature"} <= base.properties.keys():
        return
    for name, finish in base.finishes.items():
        low, high = (finish.properties[f"{end}_temperature"] for end in ("lowest", "highest"))
        if low.interval and high.interval and low.interval.high > high.interval.low:
            what = wording("rules.window", finish=name, low=low.given, high=high.given)
            yield Fault(where("finishes", name, "properties", "lowest_temperature"), what)
