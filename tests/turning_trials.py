"""Whether what is told as a reason really turns an answer, tried apart from how it was found.

Rules: a naive fixpoint over the ground rules with the named ones taken out, and the answer from its conclusions. Facts:
each value that a fact can have is stated as anybody would state it, and run through the engine.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from random import Random

from advisor.answer.advising import answer_alone
from advisor.answer.apart import reasons
from advisor.answer.many_answers import NOBODY, ManyAnswers
from advisor.answer.ranking import KINDS, Recommendation, by_kind, order_of, parts, rank, weights
from advisor.asking.explaining import Explained
from advisor.engines.columns import columns_of
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, say
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.program import Conclusion, GroundRule, Program
from advisor.model.quantities import keep
from advisor.model.values import Value, number
from advisor.physics.bounds import Interval
from explanations.comparing import awards, deciding
from explanations.views import TURNING, gist
from explanations.words import first_sentence
from tests.floors import limits_of
from tests.referees import fixpoint


@dataclass
class Without:
    """One floor, to be answered for with rules taken out."""

    told: Explained
    fired: list[GroundRule] = field(init=False)

    def __post_init__(self) -> None:
        self.memory = working_memory(self.told.base, self.told.case.facts)
        program = self.told.reasoner.program
        names = fixpoint(program, self.memory)
        self.fired = [rule for rule in program.rules if rule.name in names]

    def answer(self, but: Collection[str] = (), ahead: str = "") -> Recommendation:
        """What is recommended without these rules; `ahead` comes first of finishes that are level."""
        base = self.told.base
        rules = tuple(rule for rule in self.fired if rule.rule not in but)
        names = fixpoint(Program(rules, {}), self.memory)
        spoken = [c for rule in rules if rule.name in names for c in rule.conclusions]
        return recommended(self.told, spoken, weights(base, self.memory), ahead)


Spoken = dict[tuple[str, str], set[Conclusion]]  # by rule and finish


@dataclass
class Between:
    """Two floors, to be answered for the second with some of what changed taken back."""

    was: Spoken
    now: Spoken
    weights: tuple[Mapping[str, int], Mapping[str, int]]
    told: Explained

    @property
    def changes(self) -> set[tuple[str, str]]:
        """What rules say otherwise of a finish or the floor; what counts otherwise."""
        spoken = {key for key in {*self.was, *self.now} if self.was.get(key) != self.now.get(key)}
        return spoken | {("", name) for name, weight in self.weights[1].items() if self.weights[0][name] != weight}

    def answer(self, back: Collection[tuple[str, str]]) -> Recommendation:
        """What is recommended with these changes taken back."""
        spoken = [c for key in {*self.was, *self.now} for c in (self.was if key in back else self.now).get(key, ())]
        weighing = {name: self.weights[("", name) not in back][name] for name in self.weights[0]}
        return recommended(self.told, spoken, weighing)


def between(told: Explained, other: Explained) -> Between:
    """What a naive fixpoint concludes on two floors, by rule and finish, less what does not concern the answer."""
    sides: list[Spoken] = []
    for each in (told, other):
        spoken: Spoken = {}
        for rule in Without(each).fired:
            for conclusion in rule.conclusions:
                if parts(each.base, conclusion):
                    spoken.setdefault((rule.rule, conclusion.finish), set()).add(conclusion)
        sides.append(spoken)
    was, now = (weights(each.base, working_memory(each.base, each.case.facts)) for each in (told, other))
    return Between(sides[0], sides[1], (was, now), other)


def recommended(
    told: Explained, spoken: Sequence[Conclusion], weighing: Mapping[str, int], ahead: str = ""
) -> Recommendation:
    """What conclusions come to; `ahead` comes first of finishes that are level."""
    order = order_of(told.base)
    drawn = [(each, parts(told.base, each)) for each in spoken]
    out = {c.finish for c, some in drawn if "out" in some}
    needs = {finish: {c.name for c, some in drawn if "condition" in some and c.finish == finish} for finish in order}
    points = dict.fromkeys(order, 0)
    for conclusion, some in drawn:
        if "points" in some:
            points[conclusion.finish] += weighing[conclusion.name] * conclusion.points
    left = [finish for finish in order if finish not in out]
    best = min(
        left,
        key=lambda each: (rank(False, points[each], 0, 0), each != ahead, len(needs[each]), order[each]),
        default="",
    )
    on_floor = {part: int(any(part in some for _, some in drawn)) for part in ("stops", "holds", "asks")}
    waits = int(any("waits" in some and c.finish == best for c, some in drawn))
    kinds = by_kind(1, nothing_left=int(not left), waits=waits, **on_floor)
    return Recommendation.of(next(kind for kind, so in kinds.items() if so), best)


def untrue(told: Explained) -> Iterator[str]:
    """What is said of a rule that the answer hangs on and is not so."""
    floor = Without(told)
    now = Recommendation.of(told.advice.answer.kind, told.advice.answer.leading)
    if floor.answer() != now:
        yield f"the answer is {floor.answer()}, not {now}"
    for each in told.advice.bearing:
        rules, ahead = {each.rule, *each.others}, (each.over or "") if each.level else ""
        if floor.answer(rules, ahead) == now:
            yield f"{each.rule} and {each.others} turn nothing"
        if floor.answer(rules, ahead) != Recommendation(each.to, each.to_finish or ""):
            yield f"{each.rule} and {each.others} give {floor.answer(rules, ahead)}"
        if each.bears != "alone":
            spared = [name for name in rules if floor.answer(rules - {name}, ahead) != now]
            spared += ["the tie"] if ahead and floor.answer(rules) != now else []
            if spared:
                yield f"{each.rule} with {each.others}: {spared} can be spared"
    alone = {rule for rule in {each.rule for each in floor.fired} if floor.answer({rule}) != now}
    if missing := alone - {each.rule for each in told.advice.bearing if each.bears == "alone"}:
        yield f"turn it alone and are not told: {sorted(missing)}"


def idle(told: Explained) -> list[str]:
    """The rules in a gist that fail: what was not found to turn the answer, or speaks not against the leading finish.

    What speaks against it must lower it.
    """
    graph, small = told.graph, gist(told.graph)
    turning = {each.node for each in deciding(graph)}
    left = [each.finish for each in told.advice.standings if each.rank]
    worse = {each.node for each in awards(graph, left[0]) if each.points < 0} if left else set()
    ends = {node for node, data in small.nodes(data=True) if data["kind"] == "rule"}
    beneath = {node for node in ends if any(small.nodes[after]["kind"] == "found" for after in small.successors(node))}
    return sorted(node for node in ends - turning - worse - beneath)


def told_alone(told: Explained) -> bool:
    """Whether each rule that turns the answer alone stands in the gist, by itself or in its first sentence."""
    small = gist(told.graph)
    words = str(small.nodes[TURNING]["text"]) if TURNING in small else ""
    return all(
        each.node in small or first_sentence(each.because) in words
        for each in deciding(told.graph)
        if told.graph.nodes[each.node]["bears"] == "alone"
    )


def separates(told: Explained) -> bool | None:
    """Whether the first reason for the leading finish sets it apart from the next; none where there is nothing to."""
    advice = told.advice
    left = [each for each in advice.standings if each.rank]
    if not left or advice.stops or advice.holds or len(left) < 2 or advice.tie_broken_by:
        return None
    first = reasons(advice, 1)[0]
    given = [
        sum(each.points for each in awards(told.graph, finish) if each.rule == first.rule)
        for finish in (left[0].finish, left[1].finish)
    ]
    return given[0] > given[1]


def missed_facts(told: Explained, rng: Random, values: int = 3, many: ManyAnswers | None = None) -> Iterator[str]:
    """Facts of which some value turns the answer alone, by the engine, and that are not told.

    Args:
        told: the floor.
        rng: by which values of numbers are drawn, beside those at the limits.
        values: how many values of each fact are stated, at most.
        many: the rule base's reading in columns, to answer for all values at once; the engine where none is given.
    """
    known = {each.fact for each in told.advice.turns_alone}
    now = Recommendation.of(told.advice.answer.kind, told.advice.answer.leading)
    tried = [(name, text, case) for name, text, case in _said_otherwise(told, rng, values) if name not in known]
    cases = [case.facts for _, _, case in tried]
    answers = _in_columns(many, cases) if many else (_by_engine(told.reasoner, each) for each in cases)
    for (name, text, _), other in zip(tried, answers, strict=True):
        if other != now:
            yield f"{name}: {text} gives {other}"


def _said_otherwise(told: Explained, rng: Random, values: int) -> Iterator[tuple[str, str, Case]]:
    """Some values of every fact that can be stated, each with the case that says so."""
    limits = limits_of(told.reasoner.program)
    for name, kind in told.base.facts.items():
        if not kind.ask or kind.of != "floor":
            continue
        if kind.type != "number":
            some = list(kind.choices)
        else:
            low, high = kind.plausible.low, kind.plausible.high
            drawn = [*(each for each in limits.get(name, ()) if low <= each <= high), low, high]
            drawn += [keep(rng.uniform(low, high)) for _ in range(values)]
            some = [number(Interval(each, each), kind.unit).typed for each in drawn]
        for text in rng.sample(some, min(values, len(some))):
            if case := _saying(told, name, text):
                yield name, text, case


def stated(reasoner: Reasoner, told: Explained, name: str, text: str) -> Recommendation | None:
    """What the engine gives with a fact stated; none where the rest of the case does not allow it."""
    case = _saying(told, name, text)
    return _by_engine(reasoner, case.facts) if case else None


def _saying(told: Explained, name: str, text: str) -> Case | None:
    try:
        return say(told.base, told.case, {name: Statement(text)}, told.today)
    except BadCase:
        return None


def _by_engine(reasoner: Reasoner, facts: Mapping[str, Value]) -> Recommendation:
    answer, _ = answer_alone(reasoner, facts)
    return Recommendation.of(answer.kind, answer.leading)


def _in_columns(many: ManyAnswers, cases: Sequence[Mapping[str, Value]]) -> Iterator[Recommendation]:
    answers = many.answer(columns_of(many.base, cases))
    for kind, leading in zip(answers.kind, answers.leading, strict=True):
        yield Recommendation.of(KINDS[kind], None if leading == NOBODY else many.finishes[leading])
