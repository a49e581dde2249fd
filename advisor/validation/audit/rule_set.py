"""Claims about the rules as a set: none dead, none implied, no gap or overlap at a limit."""

from __future__ import annotations

from functools import partial

import numpy as np
import z3

from advisor.engines.columns import Columns, Flags
from advisor.engines.many_cases import Firing
from advisor.engines.smt_terms import Number, either, exact
from advisor.model.program import GroundRule
from advisor.validation.audit.search import Break, Search
from explanations.wording import wording


def no_dead_rule(search: Search) -> None:
    """`no_dead_rule`: a real floor fires each rule; open if only unreal ones do."""
    every, logic = search.every, search.every.logic
    for rule in every.base.rules:
        forms = every.forms(rule)
        if search.below and search.below.has_rule(rule):
            continue
        search.questions += 1
        search.facts |= logic.cone(forms)
        if every.floor_where_fires(rule) is None:
            dead = not any(every.floor_where(logic.fires(f.name), logic.cone([f])) for f in forms)
            search.breaks.append(Break(wording("audit.dead" if dead else "audit.dead_as_tried", rule=rule), {}, dead))


def no_implied_rule(search: Search) -> None:
    """`no_implied_rule`: each rule without points concludes alone on some real floor."""
    every = search.every
    for rule in every.base.rules.values():
        if rule.then.points or rule.id in search.claim.excepted:
            continue  # points add up: no other rule awards these
        if not _added_below(search, rule.id) and not any(_adds(search, form) for form in every.forms(rule.id)):
            search.breaks.append(Break(wording("audit.implied", rule=rule.id), {}))


def _added_below(search: Search, rule: str) -> bool:
    """Whether a rule concludes alone what it concluded alone beneath, where that is proved."""
    below = search.below
    return below is not None and below.has_rule(rule) and below.draws(below.concluded(rule))


def _adds(search: Search, form: GroundRule) -> bool:
    """Whether on some floor a rule concludes what no other does."""
    every, logic = search.every, search.every.logic
    for conclusion in form.conclusions:
        others = [other for other in logic.drawing(conclusion) if other.rule != form.rule]
        if not others:
            return True
        facts = logic.cone([form, *others])
        search.questions += 1
        search.facts |= facts
        alone = z3.And(logic.fires(form.name), z3.Not(either(logic.fires(other.name) for other in others)))
        goal = partial(_alone, form.name, [other.name for other in others])
        if every.real_floor_where(alone, facts, goal) is not None:
            return True
    return False


def _alone(rule: str, others: list[str], _: Columns, firing: Firing) -> Flags:
    among: Flags = firing.where(rule) & ~np.logical_or.reduce([firing.where(other) for other in others])
    return among


def no_gap_or_overlap(search: Search) -> None:
    """A known value at a limit: of the conditions that divide there, either all above or all below hold, not both."""
    every, logic = search.every, search.every.logic
    sides: dict[tuple[str, float], dict[str, dict[str, list[str]]]] = {}
    for form in every.program.rules:
        for pattern in form.patterns:
            for c in pattern.comparisons:
                if (c.end == "low") == (c.op[0] == ">"):  # surely above, or surely below
                    by_side = sides.setdefault((pattern.fact, c.bound), {">": {}, "<": {}})
                    by_side[c.op[0]].setdefault(c.op, []).append(form.rule)
    for (fact, bound), by_side in sides.items():
        if not by_side[">"] or not by_side["<"]:
            continue
        term = logic.terms[fact]
        assert isinstance(term, Number)
        at = z3.And(term.known, term.low == exact(bound), term.high == exact(bound))
        for up, uppers in by_side[">"].items():
            for down, lowers in by_side["<"].items():
                above = term.low > exact(bound) if up == ">" else term.low >= exact(bound)
                below = term.high < exact(bound) if down == "<" else term.high <= exact(bound)
                upper, lower = f"{uppers[0]} ({up})", f"{lowers[0]} ({down})"
                what = wording("audit.gap", upper=upper, lower=lower, bound=f"{bound:g}")
                search.ask(what, z3.And(at, above == below), [fact])
