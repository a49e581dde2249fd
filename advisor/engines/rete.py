"""The one-case reading: durable-rules behind one adapter, which nothing else imports.

durable-rules 2.0.28 is a Rete network with sharp edges. Only its C part is used: the Python around it, which runs the
actions of rules, takes two fifths of the time, keeps errors in the session's state, and drops, silently, what a paused
process left undone for 10 s. Each guard here answers one that was measured; the table in
DEVELOPERS.md lists them, and `tests/test_one_case.py` holds each by a test that fails without it.
"""

from __future__ import annotations

import json
import threading
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from itertools import count
from typing import Any

import durable_rules_engine as engine

from advisor.engines.packing import MOST_PATTERNS, spread_out
from advisor.model.conditions import Comparison
from advisor.model.program import HOLDS, GroundRule, Pattern, Program
from advisor.model.values import Value

BILLION = 10**9  # numbers go in as whole billionths: exact, and never written with an exponent
LARGEST = 9e9  # beyond, the engine's integers saturate
LONGEST_TEXT = 100  # long texts compare equal; every value of a choice is far shorter
SENTINEL = "sentinel"
NOT_HANDLED, OBSERVED = 1, 2  # what became of a fact

_networks = count(1)
_lock = threading.Lock()  # networks are shared, so one telling at a time
_sessions = count(1)  # an id used again after its deletion gave wrong conclusions
_OPERATORS = {">": "$gt", ">=": "$gte", "<": "$lt", "<=": "$lte"}


class EngineFault(RuntimeError):
    """The engine did something that its adapter does not allow for; the session was discarded."""


class Network:
    """The Rete network of some rules: asserts facts one by one and records the rules that fire."""

    def __init__(self, name: str, rules: Iterable[GroundRule]) -> None:
        self.rules = {rule.name: rule for rule in rules}
        self.facts = {pattern.fact for rule in self.rules.values() for pattern in rule.patterns}
        self._fired: list[str] = []
        definition = {rule.name: _compiled(rule) for rule in self.rules.values() if rule.patterns}
        # A session none of whose facts matched anything crashes when deleted: so one fact always matches.
        definition[SENTINEL] = {"all": [{"c": {"fact": SENTINEL}}]}
        self._handle = engine.create_ruleset(name, json.dumps(definition))

    def open(self) -> str:
        """Begin a session under an id never used before."""
        session = f"case-{next(_sessions)}"
        self._post(session, _choice(SENTINEL, HOLDS))
        return session

    def tell(self, session: str, facts: Mapping[str, Value | None]) -> list[GroundRule]:
        """Assert facts one at a time (a batch stops at the first that matches nothing); return what fired.

        A fact whose value is None is a finding that holds.
        """
        self._fired.clear()
        for name, value in facts.items():
            self._post(session, _message(name, value))
        return [self.rules[name] for name in self._fired]

    def close(self, session: str) -> None:
        """Delete the session's state, which is never freed otherwise."""
        engine.delete_state(self._handle, session)

    def _post(self, session: str, message: str) -> None:
        """Assert one fact and take note of the rules that fire; what these find is told later, outside."""
        try:
            outcome, state = engine.assert_fact(self._handle, f'{{"sid": "{session}", {message}')
            if outcome == NOT_HANDLED:
                return  # no condition of this network is met by it: nothing to fire
            if outcome == OBSERVED:
                raise EngineFault(f"a fact was asserted twice: {message}")
            begun = engine.start_action_for_state(self._handle, state)
            action = begun[1] if begun else None
            while action:  # {"name of the rule": {...}}
                self._fired.append(action[2 : action.index('"', 2)])
                action = engine.complete_and_start_action(self._handle, state)
        except engine.error as error:
            raise EngineFault(str(error)) from error


@cache
def shared_network(rules: tuple[GroundRule, ...]) -> Network:
    """The network of these rules: the engine never frees one, so a process has but one of each."""
    return Network(f"{rules[0].topic}-{next(_networks)}", rules)


def _compiled(rule: GroundRule) -> dict[str, Any]:
    if len(rule.patterns) > MOST_PATTERNS:
        raise EngineFault(f"{rule.name} has {len(rule.patterns)} patterns and would silently never fire")
    # One pattern a fact: two patterns of one rule never match the same message.
    return {"all": [{f"c{i}": {"$and": _tests(pattern)}} for i, pattern in enumerate(rule.patterns)]}


@lru_cache(maxsize=4096)  # many rules ask the same
def _tests(pattern: Pattern) -> list[dict[str, Any]]:
    tests: list[dict[str, Any]] = [{"fact": pattern.fact}]
    if pattern.values is not None:
        allowed = [{"value": value} for value in sorted(pattern.values)]
        tests.append(allowed[0] if len(allowed) == 1 else {"$or": allowed})
    if pattern.known is not None:
        tests.append({"known": int(pattern.known)})
    return tests + [_test(comparison) for comparison in pattern.comparisons]


def _test(comparison: Comparison) -> dict[str, Any]:
    return {_OPERATORS[comparison.op]: {comparison.end: _whole(comparison.bound)}}


def _message(name: str, value: Value | None) -> str:
    """A fact as a small message of checked types: comparisons across types are nonsense in the engine."""
    if value is None:
        return _choice(name, HOLDS)
    if value.interval is not None:
        return _number(name, value.interval.low, value.interval.high, value.known)
    return _choice(name, value.choice)


@lru_cache(maxsize=4096)  # a fact goes to several networks, and most are the same on the next floor
def _choice(name: str, value: str) -> str:
    if len(value) > LONGEST_TEXT or not value.isascii():
        raise EngineFault(f"the value of {name} is no plain short text, as the engine needs")
    return _written(name, value=value)


@lru_cache(maxsize=4096)
def _number(name: str, low: float, high: float, known: bool) -> str:
    return _written(name, low=_whole(low), high=_whole(high), known=int(known))


def _written(name: str, **told: str | int) -> str:
    """All of the message that follows its session; with its own id, for without one identity is a 32-bit hash."""
    return json.dumps({"id": name, "fact": name, **told})[1:]


def _whole(number: float) -> int:
    if not -LARGEST <= number <= LARGEST:  # false for NaN too
        raise EngineFault(f"{number} is beyond what the engine compares rightly")
    return round(number * BILLION)


class OneCase:
    """All networks of a program. `infer` runs one case to its fixpoint; safe to call from several threads."""

    def __init__(self, program: Program) -> None:
        spread = spread_out(program).spread
        self.networks = [shared_network(tuple(program.rules[place] for place in places)) for places in spread]
        self.always = [rule for rule in program.rules if not rule.patterns]
        self.order = {rule.name: place for place, rule in enumerate(program.rules)}

    def infer(self, facts: Mapping[str, Value]) -> list[GroundRule]:
        """All rules that fire on these facts, in an order in which each follows what it rests on.

        Args:
            facts: the working memory, by the names that the patterns use.

        Raises:
            EngineFault: the engine failed; the session is gone.
        """
        with Session(self) as session:
            return session.tell(facts)


class Session:
    """One case told little by little: each telling fires what is new, and nothing twice.

    A fact once told stays told: for a changed answer open a new session. Use it as a context, so that its state is
    freed; after an error it is of no more use.
    """

    def __init__(self, engine: OneCase) -> None:
        self._engine = engine
        self._told: dict[str, Value] = {}
        self._fired: set[str] = set()
        self._sessions: list[tuple[Network, str]] = []
        self._found: dict[str, None] = {}
        self._passed_on: dict[str, set[str]] = defaultdict(set)  # by network's session, the findings told to it

    def __enter__(self) -> Session:
        """The session itself; the networks are opened when something is told."""
        return self

    def __exit__(self, *_: object) -> None:
        """Delete the state in every network, also after an error."""
        with _lock:
            while self._sessions:
                network, session = self._sessions.pop()
                network.close(session)

    def tell(self, facts: Mapping[str, Value]) -> list[GroundRule]:
        """Assert facts, and return the rules that fire now, in an order in which each follows what it rests on.

        Args:
            facts: by the names that the patterns use; none of them told before.

        Raises:
            EngineFault: a fact was told before, or the engine failed.
        """
        if again := self._told.keys() & facts:
            raise EngineFault(f"told twice: {', '.join(sorted(again))}")
        self._told.update(facts)
        with _lock:
            fired = self._fixpoint(facts) if self._sessions else self._from_nothing()
            news = [rule for rule in fired if rule.name not in self._fired]
            self._fired.update(rule.name for rule in news)
            return news

    def _from_nothing(self) -> list[GroundRule]:
        """Open every network and tell all that was told so far."""
        for network in self._engine.networks:
            self._sessions.append((network, network.open()))
        self._found.update(dict.fromkeys(name for rule in self._engine.always for name in rule.findings))
        return [*self._engine.always, *self._fixpoint(self._told)]

    def _fixpoint(self, facts: Mapping[str, Value]) -> list[GroundRule]:
        fired: list[GroundRule] = []
        news: dict[str, dict[str, Value | None]] = {
            session: {name: facts[name] for name in sorted(network.facts & facts.keys())}
            for network, session in self._sessions
        }
        while True:
            wave: list[GroundRule] = []
            for network, session in self._sessions:
                wave += network.tell(session, news[session])
            fired += sorted(wave, key=lambda rule: self._engine.order[rule.name])
            self._found.update(dict.fromkeys(name for rule in wave for name in rule.findings))
            news = {session: self._not_passed_on(network, session) for network, session in self._sessions}
            if not any(news.values()):
                return fired

    def _not_passed_on(self, network: Network, session: str) -> dict[str, Value | None]:
        """The findings that this network asks for and has not been told."""
        passed = self._passed_on[session]
        news: dict[str, Value | None] = {
            name: None for name in self._found if name in network.facts and name not in passed
        }
        passed.update(news)
        return news
