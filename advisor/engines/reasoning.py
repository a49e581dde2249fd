"""From a case to the trace of its inference: working memory in, firings with reasons out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from advisor.engines.rete import OneCase, Session
from advisor.facts.memory import working_memory
from advisor.model.conditions import parse_condition
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, GroundRule, Program, bound, unbound
from advisor.model.quantities import show_both, show_text
from advisor.model.reader import reading_of
from advisor.model.remembered import OncePerBase
from advisor.model.rules import Rule
from advisor.model.values import Value
from explanations.reading import Reading, measuring, reading
from explanations.trace import ConclusionRecord, FactRecord, Firing, LimitRecord, Trace
from explanations.wording import label, listed, wording
from explanations.words import blanks_in, fill


class Reasoner:
    """A rule base made ready to reason: its program, and the engine's networks."""

    def __init__(self, base: RuleBase, seed: int = 0) -> None:
        """Make a rule base ready.

        Args:
            base: checked.
            seed: for the floors that are drawn to see how settled an answer is; nothing else is left to chance.
        """
        self.base, self.seed = base, seed
        self.program: Program = ground(base)
        self._engine = OneCase(self.program)

    def session(self) -> Session:
        """A case to be told little by little; use it as a context."""
        return Session(self._engine)

    def reason(
        self, given: Mapping[str, Value], like: Mapping[str, Value] | None = None
    ) -> tuple[dict[str, Value], Trace]:
        """Run one case.

        Args:
            given: the facts that the case states.
            like: the working memory of a floor that differs little; it saves working out what is the same.

        Returns:
            The working memory (findings aside), and the trace of what was concluded from it.
        """
        memory = working_memory(self.base, given, like)
        fired = self._engine.infer(memory)
        return memory, record(self.base, memory, fired, given)

    def fired(self, given: Mapping[str, Value], like: Mapping[str, Value] | None = None) -> list[GroundRule]:
        """The ground rules that fire for these facts, without a trace; `like` as in `reason`."""
        return self._engine.infer(working_memory(self.base, given, like))


def record(base: RuleBase, memory: Mapping[str, Value], fired: list[GroundRule], given: Mapping[str, Value]) -> Trace:
    """The trace of these firings: every fact that one of them rests on, and every fact given."""
    with measuring(reading_of(base, memory)):
        return _record(base, memory, fired, given)


def _record(base: RuleBase, memory: Mapping[str, Value], fired: list[GroundRule], given: Mapping[str, Value]) -> Trace:
    firings = tuple(_firing(base, memory, rule, finish) for rule in fired for finish in rule.finishes or ("",))
    found = {name: base.findings[unbound(name)[0]].says for rule in fired for name in rule.findings}
    used = dict.fromkeys(name for name in given if given[name].known)
    used.update(dict.fromkeys(name for rule in fired for name in _asked_of(rule) if name not in found))
    following = list(used)
    for name in following:  # grows while it is walked: inputs of computed facts, and their inputs
        new = [inner for inner in memory[name].inputs if inner not in used]
        used.update(dict.fromkeys(new))
        following += new
    facts = [_fact(base, name, memory[name]) for name in used]
    facts += [FactRecord(name=name, value="holds", origin="found", note=says) for name, says in found.items()]
    limits = dict.fromkeys(name for firing in firings for name in firing.limits)
    return Trace(facts=tuple(facts), firings=firings, limits=tuple(_limit(base, name) for name in limits))


def _fact(base: RuleBase, name: str, value: Value) -> FactRecord:
    assume = base.facts[unbound(name)[0]].assume
    sources = (assume.source,) if assume and value.origin == "assumed" else ()
    return FactRecord(
        name=name,
        value=value.shown,
        origin=value.origin,
        note=value.note,
        inputs=value.inputs,
        sources=sources,
    )


class _Told(NamedTuple):
    """A firing as far as one reader sees it alike on every floor: all but a reason that names facts of the floor."""

    of: GroundRule
    firing: Firing
    because: str  # with the blanks that the floor fills; empty if there are none


_TOLD: OncePerBase[dict[tuple[str, str, Reading | None], _Told]] = OncePerBase(lambda _: {})


def _firing(base: RuleBase, memory: Mapping[str, Value], ground_rule: GroundRule, finish: str) -> Firing:
    told, key = _TOLD(base), (ground_rule.name, finish, reading())
    if key not in told or told[key].of is not ground_rule:
        told[key] = _told(base, memory, ground_rule, finish)
    same = told[key]
    if not same.because:
        return same.firing
    because = fill(same.because, _blanks(base, memory, ground_rule, finish))
    return same.firing.model_copy(update={"because": because})


def _told(base: RuleBase, memory: Mapping[str, Value], ground_rule: GroundRule, finish: str) -> _Told:
    rule = base.rules[ground_rule.rule]
    names_facts = any(name.partition(".")[0] not in ("limit", "finish") for name in blanks_in(rule.because))
    firing = Firing(
        rule=rule.id,
        topic=rule.topic,
        finish=finish,
        antecedents=_asked_of(ground_rule),
        conclusions=tuple(_conclusion(each) for each in ground_rule.conclusions if each.finish in ("", finish)),
        because="" if names_facts else fill(rule.because, _blanks(base, memory, ground_rule, finish)),
        sources=rule.source,
        limits=tuple(dict.fromkeys(bound(name, finish if of == "finish" else "") for of, name in _compared(rule))),
    )
    return _Told(ground_rule, firing, rule.because if names_facts else "")


def _asked_of(rule: GroundRule) -> tuple[str, ...]:
    return tuple(pattern.fact for pattern in rule.patterns)


def _compared(rule: Rule) -> Iterator[tuple[str, str]]:
    """What the rule compares with: `limit` or `finish`, and the name; what it judges finishes by is theirs."""
    judged = rule.judges if isinstance(rule.judges, dict) else {}
    yield from (("finish", name) for name in judged if name != "id")
    for text in (text for texts in (*judged.values(), *rule.when.values()) for text in texts):
        of, _, name = parse_condition(text).operand.partition(".")
        if name:
            yield of, name


_LIMITS: OncePerBase[dict[tuple[str, Reading | None], LimitRecord]] = OncePerBase(lambda _: {})  # as readers see them


def _limit(base: RuleBase, name: str) -> LimitRecord:
    told, key = _LIMITS(base), (name, reading())
    if key not in told:
        told[key] = _limit_told(base, name)
    return told[key]


def _limit_told(base: RuleBase, name: str) -> LimitRecord:
    plain, finish = unbound(name)
    if not finish:
        limit = base.limits[plain]
        return LimitRecord(name=name, value=show_text(limit.given), means=limit.means, sources=limit.source)
    kind, value = base.properties[plain], base.finishes[finish].properties[plain]
    return LimitRecord(name=name, value=_shown(base, finish, plain), means=kind.means, sources=value.source)


def _conclusion(conclusion: Conclusion) -> ConclusionRecord:
    return ConclusionRecord(
        kind=conclusion.kind, name=conclusion.name, finish=conclusion.finish, points=conclusion.points
    )


def _blanks(base: RuleBase, memory: Mapping[str, Value], rule: GroundRule, finish: str) -> dict[str, str]:
    """The values of the blanks that the rule's reason has."""
    facts = {unbound(pattern.fact)[0]: pattern.fact for pattern in rule.patterns}
    return {name: _blank(base, memory, facts, name, finish) for name in blanks_in(base.rules[rule.rule].because)}


def _blank(base: RuleBase, memory: Mapping[str, Value], facts: Mapping[str, str], name: str, finish: str) -> str:
    where, _, inner = name.partition(".")
    if where == "limit":
        return show_text(base.limits[inner].given)
    if where == "finish":
        return _shown(base, finish, inner) if inner else base.finishes[finish].name
    value, kind = memory[facts[name]], base.facts[name]
    if not value.known and value.interval is not None and value.interval != kind.plausible:
        return show_both(value.interval, kind.unit, digits=3)  # unknown, but its bounds made the rule fire
    return value.shown


def _shown(base: RuleBase, finish: str, name: str) -> str:
    """A finish's property; one of a maker's data sheet is told as the maker's, beside the default."""
    value, product = base.finishes[finish].properties[name], base.product(finish)
    if value.interval is not None:
        shown = show_both(value.interval, base.properties[name].unit)
    else:
        shown = listed(label("value", each) for each in value.choices) or label("value", "none")
    number = next((each for each in product.numbers if each.property == name), None) if product else None
    if product is None or number is None:
        return shown
    key = "product.in_reason_same" if number.given == number.default else "product.in_reason"
    return wording(key, value=show_text(number.given), name=product.name, default=show_text(number.default))
