"""Claims about what is concluded, and answered, on any one floor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

import z3

from advisor.answer.ranking import KINDS, NAMING, Part, by_kind, parts
from advisor.engines.columns import Columns, Flags
from advisor.engines.many_cases import Firing
from advisor.engines.smt import EveryCase
from advisor.model.grounding import pattern_on
from advisor.model.program import Conclusion, ConclusionKind, Pattern
from advisor.model.standing import AnswerKind
from advisor.validation.audit.search import Break, Search, drawn_any, forms, holding, missing, rules_for
from explanations.wording import label, listed, wording


def always(search: Search) -> None:
    """`always`: wherever the conditions hold, each conclusion is drawn, and cautions stand with their step."""
    logic, base = search.every.logic, search.every.base
    for name in search.claim.then.caution if search.claim.step else ():
        if base.cautions[name].step != search.claim.step:
            search.breaks.append(Break(wording("audit.other_step", caution=name, step=base.cautions[name].step), {}))
    for form in forms(search):
        for conclusion in form.conclusions:
            told, known = logic.concluded([conclusion]), list(_said_of(search, conclusion))
            if known:  # while none of these is known, the short answer only names it
                told = z3.And(told, z3.Or(*(logic.met([each]) for each in known)))
            condition = z3.And(logic.met(form.patterns), z3.Not(told))
            facts = logic.cone([form, *logic.drawing(conclusion)]) | {each.fact for each in known}
            search.ask(
                wording("audit.not_concluded", conclusion=named(conclusion)),
                condition,
                facts,
                partial(missing, search.every, form.patterns, [conclusion]),
            )


def _said_of(search: Search, conclusion: Conclusion) -> Iterator[Pattern]:
    """Where a hazard must be told in full: that a fact on which it hangs is known, one pattern each."""
    if search.claim.in_full and conclusion.kind == "caution":
        caution = search.every.base.cautions[conclusion.name]
        if caution.usual:
            search.breaks.append(Break(wording("audit.only_named", caution=conclusion.name), {}))
        for fact in caution.hangs_on:
            known = pattern_on(search.every.base, fact, ("known",), None)
            assert known is not None
            yield known


def named(conclusion: Conclusion) -> str:
    """A conclusion in words."""
    name = conclusion.name or label("conclusion", conclusion.kind)
    return wording("audit.of_finish", conclusion=name, finish=conclusion.finish) if conclusion.finish else name


def in_sight(search: Search) -> None:
    """`in_sight`: wherever the conditions hold, each conclusion is drawn, and none of what is judged is ruled out."""
    every, logic = search.every, search.every.logic
    always(search)
    for form in forms(search):
        for finish in form.finishes:
            out = list(logic.concluding("rule_out", finish))
            condition = z3.And(logic.met(form.patterns), logic.concluded(out))
            facts = logic.cone([form, *rules_for(every, out)])
            goal = partial(_out_there, every, form.patterns, out)
            search.ask(wording("audit.ruled_out", finish=finish), condition, facts, goal)


def _out_there(
    every: EveryCase, patterns: Iterable[Pattern], out: Iterable[Conclusion], _: Columns, firing: Firing
) -> Flags:
    return holding(patterns, firing) & drawn_any(every, out, firing)


# As a claim names them: what leads, and whether it waits, is left free.
KIND_OF: dict[str, AnswerKind] = {
    **{kind: kind for kind in KINDS if kind not in NAMING},
    "finish or test first": "finish",
}


@dataclass(frozen=True)
class AnswerLogic:
    """When an answer stops or holds, and which finishes are left; which of those leads by points is left free."""

    every: EveryCase
    stops: list[Conclusion]
    holds: list[Conclusion]
    asks: list[Conclusion]
    ruled_out: dict[str, list[Conclusion]]
    waits: dict[str, list[Conclusion]]

    @staticmethod
    def of(every: EveryCase) -> AnswerLogic:
        """The conclusions that decide the kind of answer."""
        base, logic = every.base, every.logic

        def those(part: Part, kind: ConclusionKind, finish: str = "") -> list[Conclusion]:
            return [each for each in logic.concluding(kind, finish) if part in parts(base, each)]

        return AnswerLogic(
            every,
            those("stops", "refer"),
            those("holds", "hold"),
            those("asks", "hold"),
            {finish: those("out", "rule_out", finish) for finish in base.finishes},
            {finish: those("waits", "first", finish) for finish in base.finishes},
        )

    def between(self, finish: str) -> list[Conclusion]:
        """All that stands between a floor and recommending a finish outright."""
        return [*self.stops, *self.holds, *self.asks, *self.about(finish)]

    def about(self, finish: str) -> list[Conclusion]:
        """What of it is about the finish alone."""
        return [*self.ruled_out[finish], *self.waits[finish]]

    def deciding(self) -> list[Conclusion]:
        """All that the kind of answer hangs on."""
        out = [conclusion for conclusions in self.ruled_out.values() for conclusion in conclusions]
        waits = [conclusion for conclusions in self.waits.values() for conclusion in conclusions]
        return [*self.stops, *self.holds, *self.asks, *out, *waits]

    def kinds(self, nothing_left: z3.BoolRef, waits: z3.BoolRef) -> dict[AnswerKind, z3.BoolRef]:
        """When each kind of answer is given."""
        stops, holds, asks = map(self.every.logic.concluded, (self.stops, self.holds, self.asks))
        return by_kind(z3.BoolVal(True), stops=stops, holds=holds, asks=asks, nothing_left=nothing_left, waits=waits)


def answers(search: Search) -> None:
    """`answers`: wherever the conditions hold, the answer is of an allowed kind."""
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    nothing_left = z3.And(*(logic.concluded(out) for out in answer.ruled_out.values()))
    kinds = answer.kinds(nothing_left, waits=z3.BoolVal(False))
    allowed = z3.Or(*(kinds[KIND_OF[kind]] for kind in search.claim.answer))
    needed = [*answer.stops] if search.claim.answer == ("professional",) else answer.deciding()
    rules = rules_for(every, needed)
    for form in forms(search):
        facts = logic.cone([form, *rules])
        goal = partial(missing, every, form.patterns, answer.stops) if needed == answer.stops else None
        condition = z3.And(logic.met(form.patterns), z3.Not(allowed))
        search.ask(wording("audit.other_answer", kinds=listed(search.claim.answer, "or")), condition, facts, goal)


def not_outright(search: Search) -> None:
    """`not_outright`: something stands before each finish wherever the conditions hold."""
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    for form in forms(search):
        for finish in form.finishes:
            between = answer.between(finish)
            condition = z3.And(logic.met(form.patterns), z3.Not(logic.concluded(between)))
            facts = logic.cone([form, *rules_for(every, between)])
            goal = partial(missing, every, form.patterns, between)
            search.ask(wording("audit.outright", finish=finish), condition, facts, goal)


def one_answer(search: Search) -> None:
    """The kinds of answer cover every floor and exclude each other."""
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    left = {f: z3.Not(logic.concluded(out)) for f, out in answer.ruled_out.items()}
    leads = {f: z3.Bool(f"{f} leads") for f in left}  # some finish that is left leads, by points or else
    leading = [z3.Implies(leads[f], left[f]) for f in left]
    leading += [z3.Or(*leads.values()) == z3.Or(*left.values()), z3.AtMost(*leads.values(), 1)]
    waits = z3.Or(*(z3.And(leads[f], logic.concluded(answer.waits[f])) for f in left))
    some = z3.Or(*leads.values())
    kinds = answer.kinds(z3.Not(some), waits)
    facts = logic.cone(rules_for(every, answer.deciding()))
    one = z3.PbEq([(kind, 1) for kind in kinds.values()], 1)
    search.ask(wording("audit.one_answer"), z3.And(*leading, z3.Not(one)), facts)
    reasonless = z3.And(kinds["none yet"], z3.Not(logic.concluded(answer.holds)), z3.Or(*left.values()))
    search.ask(wording("audit.reasonless"), z3.And(*leading, reasonless), facts)


def one_standing(search: Search) -> None:
    """`one_standing`: every finish suits, suits if, or is ruled out, and only one of these."""
    every, logic = search.every, search.every.logic
    for finish in every.base.finishes:
        out = list(logic.concluding("rule_out", finish))
        first = list(logic.concluding("first", finish))
        ruled, asked = logic.concluded(out), logic.concluded(first)
        suits, suits_if = z3.And(z3.Not(ruled), z3.Not(asked)), z3.And(z3.Not(ruled), asked)
        one = z3.PbEq([(suits, 1), (suits_if, 1), (ruled, 1)], 1)
        facts = logic.cone(rules_for(every, [*out, *first]))
        search.ask(wording("audit.one_standing", finish=finish), z3.Not(one), facts)
