"""Proving or refuting the claims of `rules/claims.yaml` for every floor, by the every-case reading.

Each kind of claim is one function that looks for a floor that breaks it. If z3 finds none, the claim is proved. What
it finds is made a real floor before it counts as a refutation; where only computed facts that no inputs tried
produce would break a claim, it is left open, and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise
from textwrap import wrap
from time import perf_counter
from typing import Any, Literal

import numpy as np
import z3

from advisor.columns import Columns, Flags, value_at
from advisor.errors import BadRuleBase, Fault, nearest
from advisor.every_case import Bool, Choice, EveryCase, Goal, Number, Term, exact
from advisor.grounding import Conclusion, GroundRule, Pattern, contradicted, ground_one, judged
from advisor.knowledge import Claim, Rule, RuleBase
from advisor.many_cases import Fired, Tests, bounds_of, unpack
from advisor.physics.bounds import Interval
from advisor.quantities import keep
from advisor.values import Value, choice, number

Outcome = Literal["proved", "refuted", "open"]


@dataclass(frozen=True)
class Break:
    """A floor that breaks a claim: what is broken there, its stated facts, and what differs on a second floor."""

    what: str
    floor: Mapping[str, Value]
    real: bool = True
    then: str = ""


@dataclass(frozen=True)
class Finding:
    """What became of one claim."""

    claim: str
    says: str
    outcome: Outcome
    breaks: tuple[Break, ...]
    questions: int  # put to z3
    seconds: float
    free: tuple[str, ...]  # computed facts that were left free

    @property
    def abstraction(self) -> str:
        """What the proof leaves open, in one sentence."""
        if not self.free:
            return "No computed fact is involved: this holds of every floor in the vocabulary's ranges, exactly."
        names = ", ".join(self.free)
        return f"Computed facts may have any value in their range, whatever they are worked out from: {names}."

    def as_data(self) -> dict[str, object]:
        """The finding as plain data."""
        return {
            "claim": self.claim,
            "says": self.says,
            "outcome": self.outcome,
            "abstraction": self.abstraction,
            "questions": self.questions,
            "breaks": [
                {"what": b.what, "real": b.real, "facts": {n: v.shown for n, v in b.floor.items()}, "then": b.then}
                for b in self.breaks
            ],
        }


@dataclass
class Search:
    """The state of one claim's search."""

    every: EveryCase
    claim: Claim
    breaks: list[Break] = field(default_factory=list)
    questions: int = 0
    facts: set[str] = field(default_factory=set)

    def ask(self, what: str, condition: Bool, facts: Iterable[str], goal: Goal | None = None) -> bool:
        """Look for a floor that meets a condition; note it as a break. True if there is none."""
        names = set(facts)
        self.questions += 1
        self.facts |= names
        found = self.every.floor_where(condition, names)
        if found is None:
            return True
        self.note(what, found, names, goal)
        return False

    def note(
        self,
        what: str,
        found: dict[str, Value],
        facts: Iterable[str],
        goal: Goal | None,
        confirm: Callable[[dict[str, Value]], bool] | None = None,
        then: str = "",
    ) -> bool:
        """Keep a floor that z3 found, made real if it can be, and as short as it can be. True if it is real."""
        if goal is None:
            real = not any(self.every.worked_out(name) for name in facts)
        else:
            floor = self.every.realised(found, facts, goal, confirm)
            real = floor is not None
            found = self.every.shrunk(floor, facts, goal, confirm) if floor is not None else found
        self.breaks.append(Break(what, found, real, then))
        return real


def audit(base: RuleBase, only: Iterable[str] = ()) -> Iterator[Finding]:
    """Prove or refute each claim of a rule base, one after the other.

    Args:
        base: the rule base, with whatever is laid over it.
        only: ids of claims; all if none is named.
    """
    every = EveryCase(base)
    chosen = set(only) or base.claims.keys()
    for name, claim in base.claims.items():
        if name in chosen:
            yield _examine(every, name, claim)


def _examine(every: EveryCase, name: str, claim: Claim) -> Finding:
    began, search = perf_counter(), Search(every, claim)
    _KINDS[claim.kind](search)
    outcome: Outcome = "proved"
    if search.breaks:
        outcome = "refuted" if any(each.real for each in search.breaks) else "open"
    free = tuple(sorted({n.split("@")[0] for n in search.facts if every.vocabulary.inputs(n)}))
    breaks = tuple(sorted(search.breaks, key=lambda each: not each.real))
    return Finding(name, claim.says, outcome, breaks, search.questions, perf_counter() - began, free)


def refuse_broken(base: RuleBase) -> None:
    """Refuse a rule base that breaks a claim.

    Raises:
        BadRuleBase: with a floor for each claim that is broken.
    """
    faults = [
        Fault(
            f"claim {finding.claim}",
            f"{finding.says} That is not so: {finding.breaks[0].what}, on this floor: {shown(finding.breaks[0])}",
            remedy="Mend the rules, or take back what was laid over them.",
        )
        for finding in audit(base)
        if finding.outcome == "refuted"
    ]
    if faults:
        raise BadRuleBase(faults)


def check_names(base: RuleBase, claims: Iterable[str]) -> None:
    """Refuse names that are no claims.

    Raises:
        BadRuleBase: naming each, and the nearest that there is.
    """
    faults = [
        Fault(name, "there is no claim of that name", ", ".join(base.claims), nearest(name, base.claims))
        for name in claims
        if name not in base.claims
    ]
    if faults:
        raise BadRuleBase(faults)


def in_words(finding: Finding) -> str:
    """A finding as a few lines of text."""
    lines = [f"{finding.outcome}: {finding.claim}", *_wrapped(finding.says)]
    for broken in finding.breaks:
        lines += _wrapped(f"{broken.what}, on a floor with {shown(broken)}.", "  - ")
        if not broken.real:
            lines += _wrapped("No inputs were found that make its computed facts so; this decides nothing.", "    ")
    if not finding.questions and not finding.breaks:
        lines += _wrapped("No rule concludes anything of the kind from it.")
    return "\n".join([*lines, *_wrapped(finding.abstraction), ""])


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return wrap(text, 78, initial_indent=indent, subsequent_indent=" " * len(indent))


def tally(findings: Iterable[Finding]) -> str:
    """How many claims came out how, in one line."""
    outcomes = [finding.outcome for finding in findings]
    parts = [f"{outcomes.count(each)} {each}" for each in ("proved", "refuted", "open")]
    return f"{len(outcomes)} claims: {', '.join(parts)}."


def shown(broken: Break) -> str:
    """The floor of a break in one line."""
    facts = ", ".join(f"{name}: {value.shown}" for name, value in broken.floor.items()) or "nothing stated"
    return f"{facts}{'; ' + broken.then if broken.then else ''}"


# ---- claims about conclusions -------------------------------------------------------------------------------------


def _forms(search: Search) -> list[GroundRule]:
    """The claim as a rule without variables, one form for each group of finishes."""
    claim = search.claim
    rule = Rule.model_construct(
        id="claims.claim", judges=claim.judges, when=claim.when, then=claim.then, because="", source=()
    )
    return ground_one(search.every.base, rule)


def _always(search: Search) -> None:
    logic, base = search.every.logic, search.every.base
    for name in search.claim.then.caution if search.claim.step else ():
        if base.cautions[name].step != search.claim.step:
            search.breaks.append(Break(f"{name} stands with the step {base.cautions[name].step}", {}))
    for form in _forms(search):
        for conclusion in form.conclusions:
            rules = logic.concluding(conclusion.kind, conclusion.finish, conclusion.name).get(conclusion, [])
            condition = z3.And(logic.met(form.patterns), z3.Not(logic.concluded([conclusion])))
            facts = logic.cone([form, *rules])
            search.ask(
                f"{_named(conclusion)} is not concluded",
                condition,
                facts,
                partial(_missing, search.every, form.patterns, [conclusion]),
            )


def _named(conclusion: Conclusion) -> str:
    name = conclusion.name or conclusion.kind.replace("_", " ")
    return f"{name} for {conclusion.finish}" if conclusion.finish else name


def _missing(
    every: EveryCase, patterns: Iterable[Pattern], conclusions: Iterable[Conclusion], working: Columns, fired: Fired
) -> Flags:
    """The floors on which patterns hold and none of some conclusions is drawn."""
    return _holding(patterns, working, fired) & ~_drawn_any(every, conclusions, fired)


def _holding(patterns: Iterable[Pattern], working: Columns, fired: Fired) -> Flags:
    tests, met = Tests(working), np.ones(fired.floors, np.bool)
    for pattern in patterns:
        if pattern.fact in working.facts:
            met &= unpack(tests.pattern(pattern), fired.floors)
        else:
            rules = [rule.name for rule in fired.program.rules if pattern.fact in rule.findings]
            met &= np.logical_or.reduce([np.zeros(fired.floors, np.bool), *map(fired.where, rules)])
    return met


def _drawn_any(every: EveryCase, conclusions: Iterable[Conclusion], fired: Fired) -> Flags:
    wanted = set(conclusions)
    rules = [rule.name for rule in every.program.rules if wanted.intersection(rule.conclusions)]
    drawn: Flags = np.logical_or.reduce([np.zeros(fired.floors, np.bool), *map(fired.where, rules)])
    return drawn


# ---- claims about the answer --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class AnswerLogic:
    """When an answer stops or holds, and which finishes are left; which of those leads by points is left free."""

    stops: list[Conclusion]
    holds: list[Conclusion]
    ruled_out: dict[str, list[Conclusion]]
    waits: dict[str, list[Conclusion]]

    @staticmethod
    def of(every: EveryCase) -> AnswerLogic:
        """The conclusions that decide the kind of answer."""
        base, logic = every.base, every.logic
        return AnswerLogic(
            [c for c in logic.concluding("refer") if base.referrals[c.name].stop],
            list(logic.concluding("hold")),
            {f: list(logic.concluding("rule_out", f)) for f in base.finishes},
            {f: [c for c in logic.concluding("first", f) if base.needs[c.name].decides] for f in base.finishes},
        )

    def between(self, finish: str) -> list[Conclusion]:
        """All that stands between a floor and recommending a finish outright."""
        return [*self.stops, *self.holds, *self.ruled_out[finish], *self.waits[finish]]


def _rules(every: EveryCase, conclusions: Iterable[Conclusion]) -> list[GroundRule]:
    wanted = set(conclusions)
    return [rule for rule in every.program.rules if wanted.intersection(rule.conclusions)]


def _answers(search: Search) -> None:
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    patterns = [pattern for form in _forms(search) for pattern in form.patterns]
    stops, holds = logic.concluded(answer.stops), logic.concluded(answer.holds)
    nothing_left = z3.And(*(logic.concluded(out) for out in answer.ruled_out.values()))
    kinds = {
        "professional": stops,
        "none yet": z3.And(z3.Not(stops), z3.Or(holds, nothing_left)),
        "finish or test first": z3.And(z3.Not(stops), z3.Not(holds), z3.Not(nothing_left)),
    }
    allowed = z3.Or(*(kinds[kind] for kind in search.claim.answer))
    needed = [*answer.stops] if search.claim.answer == ("professional",) else _deciding(answer)
    facts = logic.facts_beneath(p.fact for p in patterns) | logic.cone(_rules(every, needed))
    goal = partial(_missing, every, patterns, answer.stops) if needed == answer.stops else None
    condition = z3.And(logic.met(patterns), z3.Not(allowed))
    search.ask(f"the answer is not {' or '.join(search.claim.answer)}", condition, facts, goal)


def _deciding(answer: AnswerLogic) -> list[Conclusion]:
    out = [conclusion for conclusions in answer.ruled_out.values() for conclusion in conclusions]
    waits = [conclusion for conclusions in answer.waits.values() for conclusion in conclusions]
    return [*answer.stops, *answer.holds, *out, *waits]


def _not_outright(search: Search) -> None:
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    for finish in judged(every.base, _as_rule(search.claim)):
        form = _form_of(search, finish.id)
        if form is None:
            continue
        between = answer.between(finish.id)
        condition = z3.And(logic.met(form), z3.Not(logic.concluded(between)))
        facts = logic.facts_beneath(p.fact for p in form) | logic.cone(_rules(every, between))
        goal = partial(_missing, every, form, between)
        search.ask(f"{finish.id} is recommended outright if it leads", condition, facts, goal)


def _as_rule(claim: Claim) -> Rule:
    return Rule.model_construct(
        id="claims.claim", judges=claim.judges, when=claim.when, then=claim.then, because="", source=()
    )


def _form_of(search: Search, finish: str) -> tuple[Pattern, ...] | None:
    return next((form.patterns for form in _forms(search) if finish in form.finishes), None)


def _one_answer(search: Search) -> None:
    """The kinds of answer, as `advising` decides them, cover every floor and exclude each other."""
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    stops, holds = logic.concluded(answer.stops), logic.concluded(answer.holds)
    left = {f: z3.Not(logic.concluded(out)) for f, out in answer.ruled_out.items()}
    leads = {f: z3.Bool(f"{f} leads") for f in left}  # some finish that is left leads, by points or else
    leading = [z3.Implies(leads[f], left[f]) for f in left]
    leading += [z3.Or(*leads.values()) == z3.Or(*left.values()), z3.AtMost(*leads.values(), 1)]
    waits = z3.Or(*(z3.And(leads[f], logic.concluded(answer.waits[f])) for f in left))
    some = z3.Or(*leads.values())
    kinds = [
        stops,
        z3.And(z3.Not(stops), z3.Or(holds, z3.Not(some))),
        z3.And(z3.Not(stops), z3.Not(holds), some, waits),
        z3.And(z3.Not(stops), z3.Not(holds), some, z3.Not(waits)),
    ]
    facts = logic.cone(_rules(every, _deciding(answer)))
    one = z3.PbEq([(kind, 1) for kind in kinds], 1)
    search.ask("there is no answer, or more than one", z3.And(*leading, z3.Not(one)), facts)
    reasonless = z3.And(kinds[1], z3.Not(holds), z3.Or(*left.values()))
    search.ask("none is recommended, and nothing says why", z3.And(*leading, reasonless), facts)


def _one_standing(search: Search) -> None:
    every, logic = search.every, search.every.logic
    for finish in every.base.finishes:
        out = list(logic.concluding("rule_out", finish))
        first = list(logic.concluding("first", finish))
        ruled, asked = logic.concluded(out), logic.concluded(first)
        suits, suits_if = z3.And(z3.Not(ruled), z3.Not(asked)), z3.And(z3.Not(ruled), asked)
        one = z3.PbEq([(suits, 1), (suits_if, 1), (ruled, 1)], 1)
        facts = logic.cone(_rules(every, [*out, *first]))
        search.ask(f"{finish} has no standing, or more than one", z3.Not(one), facts)


# ---- claims about two floors --------------------------------------------------------------------------------------


def _stays(search: Search) -> None:
    """A second floor differs from the first in one fact, moved one way; what was concluded must still be."""
    every, logic, claim = search.every, search.every.logic, search.claim
    first, second = logic.terms[claim.fact], every.vocabulary.fresh(claim.fact, "'")
    moved = _moved(claim, first, second)
    changed = {claim.fact: second, **_follows(every, claim.fact, "'")}
    after = logic.with_facts(changed)
    truths = [truth for name, term in changed.items() for truth in every.vocabulary.truths(name, term)]
    finishes = [f.id for f in judged(every.base, _as_rule(claim))] if claim.judges else [""]
    for finish in finishes:
        kept = list(logic.concluding(claim.keeps, finish))
        rules = _rules(every, kept)
        facts = logic.cone(rules)
        if claim.fact not in facts:
            continue
        condition = z3.And(moved, *truths, logic.concluded(kept), z3.Not(after.concluded(kept)))
        search.questions += 1
        search.facts |= facts
        solver = every.solver(facts)
        solver.add(condition)
        if solver.check() == z3.sat:
            model = solver.model()
            floor = every.read(model, facts)
            other = every.read(model, [claim.fact], changed).get(claim.fact)
            becomes = other.shown if other else "unknown"
            said = f"then {claim.fact} becomes {becomes}, and it no longer is"
            what = f"{finish or 'the floor'}: {claim.keeps.replace('_', ' ')} is concluded"
            goal, still = partial(_drawn, every, kept), partial(_lost, every, kept, claim.fact, other)
            search.note(what, floor, facts, goal, still, said)


def _drawn(every: EveryCase, conclusions: Iterable[Conclusion], _: Columns, fired: Fired) -> Flags:
    return _drawn_any(every, conclusions, fired)


def _lost(
    every: EveryCase, conclusions: Iterable[Conclusion], fact: str, value: Value | None, floor: dict[str, Value]
) -> bool:
    """Whether nothing is concluded any more once a fact of a floor is another; the fact must be stated before."""
    if fact not in floor or value is None:
        return False
    return not _drawn_any(every, conclusions, every.fired_on([{**floor, fact: value}])).any()


def _moved(claim: Claim, first: Term, second: Term) -> Bool:
    if isinstance(first, Choice):
        assert isinstance(second, Choice)
        steps = [
            z3.And(first.values[low], second.values[high])
            for place, low in enumerate(claim.order)
            for high in claim.order[place + 1 :]
        ]
        return z3.Or(*steps)
    assert isinstance(second, Number)
    up = z3.And(first.known, second.known, second.low >= first.low, second.high >= first.high)
    down = z3.And(first.known, second.known, second.low <= first.low, second.high <= first.high)
    return up if claim.rises else down


def _follows(every: EveryCase, fact: str, mark: str) -> dict[str, Term]:
    """New variables for the computed facts that follow from a fact."""
    names = [name for name in every.logic.terms if fact in every.vocabulary.inputs(name)]
    return {name: every.vocabulary.fresh(name, mark) for name in names}


def _no_bolder_unknown(search: Search) -> None:
    """For each fact: whatever stands before a finish for all values that the fact may have, stands before it now."""
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    between = {finish: answer.between(finish) for finish in every.base.finishes}
    rules = {finish: _rules(every, conclusions) for finish, conclusions in between.items()}
    cones = {finish: logic.cone(some) for finish, some in rules.items()}
    facts = frozenset().union(*cones.values())
    clear = {finish: z3.Not(logic.concluded(conclusions)) for finish, conclusions in between.items()}
    solver = every.solver(facts)
    for name in sorted(facts):
        if "@" in name or not every.base.facts[name].ask:
            continue
        resting = [finish for finish, cone in cones.items() if name in cone]
        solver.push()
        allowed: dict[str, list[Bool]] = {finish: [] for finish in resting}
        for place, (value, possible) in enumerate(_values(every, name)):
            changed = {name: value, **_follows(every, name, f"'{place}")}
            after = logic.with_facts(changed)
            for other, term in list(changed.items())[1:]:
                solver.add(*every.vocabulary.truths(other, term), _narrower(term, logic.terms[other]))
            for finish in resting:
                allowed[finish].append(z3.And(possible, z3.Not(after.concluded(between[finish]))))
        term = logic.terms[name]
        if isinstance(term, Choice):
            solver.add(z3.Not(term.known))
        solver.add(z3.Or(*(z3.And(clear[f], z3.Not(z3.Or(*allowed[f]))) for f in resting)))
        search.questions += 1
        if solver.check() == z3.sat:
            model = solver.model()
            bold = [
                f
                for f in resting
                if z3.is_true(model.eval(clear[f], model_completion=True))
                and not any(z3.is_true(model.eval(each, model_completion=True)) for each in allowed[f])
            ]
            # Several finishes at once: a few are looked at until one proves real.
            for finish in bold[:3]:
                search.breaks = [each for each in search.breaks if each.real or f" {name} " not in each.what]
                floor, goal = every.read(model, cones[finish]), partial(_missing, every, (), between[finish])
                what = f"nothing stands before {finish} while {name} is open, but something does for each value"
                confirm = partial(_bolder, every, name, between[finish], cones[finish])
                if search.note(what, floor, cones[finish], goal, confirm):
                    break
        solver.pop()
    search.facts |= facts


def _bolder(
    every: EveryCase, name: str, between: Iterable[Conclusion], needed: Container[str], floor: dict[str, Value]
) -> bool:
    """Whether a floor that nothing stands in the way of gets something in its way for each value of a fact."""
    kind = every.base.facts[name]
    now = value_at(kind, every.working([floor], {name}).facts[name], 0)
    if now.interval is None:
        values = [choice(each) for each in kind.choices] if not now.known else []
    else:
        ends, bounds = now.interval, [b for b in bounds_of(every.program).get(name, ()) if b in now.interval]
        points = [ends.low, *bounds, *((a + b) / 2 for a, b in pairwise([ends.low, *bounds, ends.high])), ends.high]
        values = [number(Interval(point, point), kind.unit) for point in map(keep, points)]
    floors = [{**floor, name: value} for value in values]
    floors = [each for each in floors if not contradicted(every.base, each)]
    return bool(floors) and bool(_drawn_any(every, between, every.fired_on(floors, needed)).all())


def _values(every: EveryCase, name: str) -> Iterator[tuple[Term, Bool]]:
    """Values that a fact may turn out to have, with when each is possible: of a number, one on each side of bounds."""
    term = every.logic.terms[name]
    if isinstance(term, Choice):
        for value in term.values:
            yield Choice({each: z3.BoolVal(each == value) for each in term.values}), z3.BoolVal(True)
        return
    points: list[Any] = [term.low, term.high]
    bounds = sorted(
        {c.bound for rule in every.program.rules for p in rule.patterns if p.fact == name for c in p.comparisons}
    )
    points += [exact(bound) for bound in bounds]
    points += [(exact(a) + exact(b)) / 2 for a, b in pairwise(bounds)]
    for point in points:
        yield Number(point, point, z3.BoolVal(True)), z3.And(term.low <= point, point <= term.high)


def _narrower(term: Term, than: Term) -> Bool:
    assert isinstance(term, Number)
    assert isinstance(than, Number)
    return z3.And(than.low <= term.low, term.high <= than.high, z3.Implies(than.known, term.known))


# ---- claims about the rules ---------------------------------------------------------------------------------------


def _no_dead_rule(search: Search) -> None:
    every, logic = search.every, search.every.logic
    for rule in every.base.rules:
        forms = [form for form in every.program.rules if form.rule == rule]
        search.questions += 1
        search.facts |= logic.cone(forms)
        if every.floor_where_fires(rule) is None:
            dead = not any(every.floor_where(logic.fires(f.name), logic.cone([f])) for f in forms)
            search.breaks.append(Break(f"{rule} fires on no floor{'' if dead else ' that was tried'}", {}, dead))


def _no_implied_rule(search: Search) -> None:
    every = search.every
    for rule in every.base.rules.values():
        if rule.then.points or rule.id in search.claim.excepted:
            continue  # points add up: no other rule awards these
        if not any(_adds(search, form) for form in every.program.rules if form.rule == rule.id):
            search.breaks.append(Break(f"all that {rule.id} concludes is concluded by other rules", {}))


def _adds(search: Search, form: GroundRule) -> bool:
    """Whether on some floor a rule concludes what no other does."""
    every, logic = search.every, search.every.logic
    for conclusion in form.conclusions:
        concluding = logic.concluding(conclusion.kind, conclusion.finish, conclusion.name)[conclusion]
        others = [other for other in concluding if other.rule != form.rule]
        if not others:
            return True
        facts = logic.cone([form, *others])
        search.questions += 1
        search.facts |= facts
        alone = z3.And(logic.fires(form.name), z3.Not(z3.Or(*(logic.fires(other.name) for other in others))))
        found = every.floor_where(alone, facts)
        goal = partial(_alone, form.name, [other.name for other in others])
        if found is not None and every.realised(found, facts, goal) is not None:
            return True
    return False


def _alone(rule: str, others: list[str], _: Columns, fired: Fired) -> Flags:
    among: Flags = fired.where(rule) & ~np.logical_or.reduce([fired.where(other) for other in others])
    return among


def _no_gap_or_overlap(search: Search) -> None:
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
                pair = f"{uppers[0]} ({up}) and {lowers[0]} ({down})"
                search.ask(f"{pair} both or neither hold at {bound:g}", z3.And(at, above == below), [fact])


_KINDS: dict[str, Callable[[Search], None]] = {
    "always": _always,
    "answers": _answers,
    "not_outright": _not_outright,
    "one_answer": _one_answer,
    "one_standing": _one_standing,
    "stays": _stays,
    "no_bolder_unknown": _no_bolder_unknown,
    "no_dead_rule": _no_dead_rule,
    "no_implied_rule": _no_implied_rule,
    "no_gap_or_overlap": _no_gap_or_overlap,
}
