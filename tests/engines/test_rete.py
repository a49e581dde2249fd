"""The guards around durable-rules 2.0.28: one test for each row of the table in DEVELOPERS.md.

Each fails when its guard is taken away. Those rows where the bare engine aborts the process, hangs or grows run in a
process of their own.
"""

from __future__ import annotations

import subprocess
import sys
import textwrap
import threading

import durable_rules_engine as engine
import pytest

from advisor.engines.rete import EngineFault, Network, OneCase
from advisor.model.conditions import Comparison
from advisor.model.program import Conclusion, GroundRule, Pattern, Program
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval


def rule(name: str, *patterns: Pattern, finds: str = "") -> GroundRule:
    conclusions = (Conclusion("finding", finds or f"found_{name}"),)
    return GroundRule(name, name, name.split(".")[0], patterns, conclusions)


def program(*rules: GroundRule) -> Program:
    topics = dict.fromkeys(each.topic for each in rules)
    return Program(rules, {topic: tuple(each for each in rules if each.topic == topic) for topic in topics})


def is_(fact: str, *values: str) -> Pattern:
    return Pattern(fact, values=frozenset(values))


def above(fact: str, bound: float) -> Pattern:
    return Pattern(fact, comparisons=(Comparison("low", ">", bound),))


def exactly(value: float) -> Value:
    return number(Interval(value, value), "percent")


def fired(rules: Program, facts: dict[str, Value]) -> list[str]:
    return [each.name for each in OneCase(rules).infer(facts)]


def run_apart(code: str, seconds: int = 60) -> str:
    """Run in a process of its own, for what would take this one down."""
    head = "from tests.engines.test_rete import *\n"
    done = subprocess.run(
        [sys.executable, "-c", head + textwrap.dedent(code)], capture_output=True, text=True, timeout=seconds
    )
    assert done.returncode == 0, f"exit {done.returncode}: {done.stderr[-500:]}"
    return done.stdout.strip()


def test_facts_that_meet_no_condition_do_not_stop_those_after_them() -> None:
    """A batch call stops silently at the first fact that no rule takes."""
    rules = program(rule("t.a", is_("a", "yes")), rule("t.z", is_("z", "yes")))
    assert fired(rules, {"a": choice("no"), "m": choice("yes"), "z": choice("yes")}) == ["t.z"]


def test_a_fact_that_no_rule_uses_is_no_error() -> None:
    """The engine raises 'not handled' for it."""
    assert fired(program(rule("t.a", is_("a", "yes"))), {"b": choice("yes"), "a": choice("yes")}) == ["t.a"]


def test_both_ends_of_a_range_are_tested_on_one_fact() -> None:
    """Two patterns of one rule never match the same message, so the comparisons share one."""
    between = Pattern("x", comparisons=(Comparison("low", ">=", 56.0), Comparison("high", "<", 67.0)))
    rules = program(rule("t.between", between))
    assert fired(rules, {"x": exactly(60.0)}) == ["t.between"]
    assert fired(rules, {"x": exactly(67.0)}) == fired(rules, {"x": exactly(55.9)}) == []


def test_hundreds_of_conditions_on_one_fact() -> None:
    """Beyond about 64 that match at once the engine gives error 303 or aborts."""
    assert (
        run_apart("""
        rules = program(*(rule(f"t.r{i}", above("x", float(i))) for i in range(300)))
        print(len(fired(rules, {"x": exactly(1000.0)})))
    """)
        == "300"
    )


def test_hundreds_of_rules_on_one_condition() -> None:
    """More than 255 rules that share one condition: error 108."""
    assert (
        run_apart("""
        rules = program(*(rule(f"t.r{i}", is_("a", "yes"), is_(f"b{i % 7}", "yes")) for i in range(400)))
        facts = {"a": choice("yes"), **{f"b{i}": choice("yes") for i in range(7)}}
        print(len(fired(rules, facts)))
    """)
        == "400"
    )


def test_an_all_unknown_floor_does_not_crash() -> None:
    """Deleting the state of a session none of whose facts matched anything: segmentation fault."""
    assert (
        run_apart("""
        for size in range(1, 60):
            rules = program(*(rule(f"t.r{i}", is_(f"a{i}", "yes"), is_(f"b{i}", "no")) for i in range(size)))
            engine = OneCase(rules)
            for _ in range(40):
                assert engine.infer({f"a{i}": choice("unknown") for i in range(size)}) == []
                assert engine.infer({}) == []
        print("alive")
    """)
        == "alive"
    )


def test_no_session_id_is_used_twice() -> None:
    """A session id used again after its deletion gave wrong conclusions."""
    first, second = Network("t", [rule("t.a", is_("a", "yes"))]), Network("t", [rule("t.a", is_("a", "yes"))])
    opened = []
    for network in (first, second, first, second):
        opened.append(network.open())
        network.close(opened[-1])
    assert len(set(opened)) == 4


def test_memory_stays_flat() -> None:
    """Without deleting the session's state it grows by about 2.7 MB a case: by 270 MB here."""
    grown = run_apart("""
        import resource
        from advisor.facts.memory import working_memory
        from advisor.engines.reasoning import Reasoner
        from advisor.validation.loading import load_rulebase
        reasoner = Reasoner(load_rulebase())
        memory = working_memory(reasoner.base, {})
        engine = OneCase(reasoner.program)
        def peak():
            return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        for _ in range(20): engine.infer(memory)
        before = peak()
        for _ in range(100): engine.infer(memory)
        print(peak() - before)
    """)
    assert float(grown) < 20.0  # MB over 100 cases; the allocator's own noise


def test_the_state_is_deleted_after_an_error_too(monkeypatch: pytest.MonkeyPatch) -> None:
    closed: list[str] = []
    close = Network.close

    def closing(self: Network, session: str) -> None:
        closed.append(session)
        close(self, session)

    monkeypatch.setattr(Network, "close", closing)
    engine = OneCase(program(rule("t.a", is_("a", "yes")), rule("u.x", above("x", 1.0))))
    with pytest.raises(EngineFault):
        engine.infer({"a": choice("y" * 200)})
    assert len(closed) == 2
    assert [each.name for each in engine.infer({"a": choice("yes"), "x": exactly(2.0)})] == ["t.a", "u.x"]


def test_no_thread_runs_in_the_background() -> None:
    """Every Host starts two threads that may run actions off the caller's thread."""
    before = threading.active_count()
    assert fired(program(rule("t.a", is_("a", "yes"))), {"a": choice("yes")}) == ["t.a"]
    assert threading.active_count() == before


def test_many_threads_share_one_engine() -> None:
    """The engine is under a lock: sessions of several threads do not mix."""
    rules = program(*(rule(f"t.r{i}", is_(f"f{i}", "yes")) for i in range(20)))
    engine, wrong = OneCase(rules), []

    def work(place: int) -> None:
        for _ in range(50):
            names = [each.name for each in engine.infer({f"f{place}": choice("yes")})]
            if names != [f"t.r{place}"]:
                wrong.append(names)

    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)  # so that threads meet inside a session where they can
    threads = [threading.Thread(target=work, args=(place,)) for place in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    sys.setswitchinterval(interval)
    assert wrong == []


def test_a_long_chain_of_findings_across_topics() -> None:
    """Facts asserted inside an action nest deeply and their errors are swallowed; here a loop outside asserts them."""
    links = [rule("t0.r0", is_("start", "yes"), finds="d0")]
    links += [rule(f"t{i % 5}.r{i}", is_(f"d{i - 1}", "holds"), finds=f"d{i}") for i in range(1, 200)]
    assert fired(program(*links), {"start": choice("yes")}) == [each.name for each in links]


def test_an_error_while_rules_fire_comes_out_and_does_not_stay() -> None:
    """The Python around the engine swallows it into the session's state, where it stays after the next good call."""
    one_case = OneCase(program(rule("t.bad", is_("a", "yes")), rule("t.good", is_("b", "yes"))))
    (network,) = one_case.networks
    noted, network._fired = network._fired, Refusing("t.bad")
    with pytest.raises(EngineFault, match="on purpose"):
        one_case.infer({"a": choice("yes"), "b": choice("yes")})
    network._fired = noted
    assert [each.name for each in one_case.infer({"b": choice("yes")})] == ["t.good"]


class Refusing(list[str]):
    """A list that one entry cannot be put into, as if the engine had failed there."""

    def __init__(self, entry: str) -> None:
        super().__init__()
        self.refused = entry

    def append(self, entry: str) -> None:
        if entry == self.refused:
            raise engine.error("on purpose")
        super().append(entry)


@pytest.mark.parametrize("bound", [1e-9, 5e-5, 0.0, -0.000000001, 12345.678901234, 8.9e9, -8.9e9])
def test_numbers_of_every_size_compare_exactly(bound: float) -> None:
    """The engine refuses numbers that JSON writes with an exponent (below 1e-4, from 1e16): error 204."""
    rules = program(rule("t.above", above("x", bound)))
    assert fired(rules, {"x": exactly(bound)}) == []
    assert fired(rules, {"x": exactly(bound + 1e-6)}) == ["t.above"]


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf"), 1e16, 2.0**63])
def test_numbers_that_the_engine_would_misread_are_refused(bad: float) -> None:
    """Integers from 2^63 saturate, NaN never matches, infinities are refused with a number for an error."""
    with pytest.raises(EngineFault, match="beyond"):
        OneCase(program(rule("t.above", above("x", bad))))


def test_no_comparison_across_types() -> None:
    """`number < any text` fires in the engine, True equals 1 and 'true', order on yes/no misfires."""
    below = Pattern("x", comparisons=(Comparison("high", "<", 5.0),))
    rules = program(rule("t.below", below), rule("t.one", is_("x", "1")), rule("t.yes", is_("x", "yes")))
    assert fired(rules, {"x": choice("abc")}) == []
    assert fired(rules, {"x": exactly(1.0)}) == ["t.below"]
    assert fired(rules, {"x": choice("yes")}) == ["t.yes"]


def test_the_same_fact_twice_is_an_error_not_a_dropped_fact() -> None:
    """The engine raises 'observed', or drops the second one without a word if its content differs."""
    network = Network("t", [rule("t.a", is_("a", "yes"), is_("b", "yes"))])
    session = network.open()
    network.tell(session, {"a": choice("yes")})
    with pytest.raises(EngineFault, match="twice"):
        network.tell(session, {"a": choice("yes")})
    network.close(session)


def test_facts_of_like_content_stay_apart() -> None:
    """Without an id of its own a fact's identity is a 32-bit hash of its content: equal values must not collide."""
    names = [f"f{i}" for i in range(180)]
    rules = program(*(rule(f"t.{name}", is_(name, "yes")) for name in names))
    assert fired(rules, {name: choice("yes") for name in names}) == [f"t.{name}" for name in names]


def test_sixteen_patterns_fire_and_seventeen_are_refused() -> None:
    """A rule with more than 16 patterns builds and then silently never fires."""
    facts = {f"f{i}": choice("yes") for i in range(17)}
    patterns = [is_(name, "yes") for name in facts]
    assert fired(program(rule("t.most", *patterns[:16])), facts) == ["t.most"]
    with pytest.raises(EngineFault, match="17 patterns"):
        OneCase(program(rule("t.more", *patterns)))


def test_thousands_of_rules_on_few_facts_build() -> None:
    """A network holds at most 4,096 rules."""
    built = run_apart("""
        pairs = [(f"f{i}", f"g{j}") for i in range(100) for j in range(60)]
        rules = program(*(rule(f"t.{f}{g}", is_(f, "yes"), is_(g, "yes")) for f, g in pairs))
        print(fired(rules, {"f7": choice("yes"), "g59": choice("yes")}))
    """)
    assert built == "['t.f7g59']"


def test_thousands_of_facts_build() -> None:
    """Building never returns with more than 512 tests on one node."""
    built = run_apart("""
        rules = program(*(rule(f"t.r{i}", is_(f"f{i % 1500}", "yes")) for i in range(4500)))
        print(len(OneCase(rules).infer({"f7": choice("yes")})))
    """)
    assert built == "3"


@pytest.mark.parametrize("text", ["x" * 5000, "\ud800", "naïve"])
def test_texts_that_the_engine_would_misread_are_refused(text: str) -> None:
    """Texts of 5,000 characters compare equal; lone surrogates raise deep inside."""
    with pytest.raises(EngineFault, match="plain short text"):
        OneCase(program(rule("t.a", is_("a", "yes")))).infer({"a": choice(text)})


def test_rules_without_conditions_fire_always() -> None:
    rules = program(rule("t.always", finds="d"), rule("t.after", is_("d", "holds")))
    assert fired(rules, {}) == ["t.always", "t.after"]


@pytest.mark.parametrize("said", ["yes", "no", "unknown"])
def test_a_condition_on_several_values_is_met_by_each_of_them_and_by_no_other(said: str) -> None:
    rules = program(rule("t.either", is_("a", "yes", "no")))
    assert fired(rules, {"a": choice(said)}) == (["t.either"] if said != "unknown" else [])


def test_a_text_is_as_long_as_the_engine_compares_rightly_and_no_longer() -> None:
    rules = program(rule("t.long", is_("a", "x" * 100)))
    assert fired(rules, {"a": choice("x" * 100)}) == ["t.long"]
    with pytest.raises(EngineFault, match="plain short text"):
        fired(rules, {"a": choice("x" * 101)})


def test_equal_rules_share_a_network_for_it_is_never_freed() -> None:
    first, second = (OneCase(program(rule("t.shared", is_("a", "yes")))) for _ in range(2))
    assert first.networks[0] is second.networks[0]
