"""Many floors: the rules alone and the whole advice, beside CLIPS, durable-rules and hand-written NumPy, in one run."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from random import Random

import numpy as np

from advisor.answer.many_answers import ManyAnswers
from advisor.answer.ranking import standings
from advisor.engines.columns import CHUNK, ChoiceColumn, Column, Columns, NumberColumn, columns_of
from advisor.engines.many_cases import Fired, ManyCases
from advisor.engines.reasoning import record
from advisor.engines.rete import OneCase
from advisor.facts.memory import working_memory
from advisor.model.program import Program
from advisor.validation.loading import load_rulebase
from tests.floors import limits_of, random_case
from tests.referees import Clips

DISTINCT, MILLION, ONE_BY_ONE, ADVISED = 2000, 1 << 20, 150, 1 << 18


def sampled(columns: Columns, floors: int) -> Columns:
    """More floors, drawn from those there are."""
    rows = np.random.default_rng(1).integers(0, columns.floors, floors)

    def drawn(column: Column) -> Column:
        if isinstance(column, ChoiceColumn):
            return column if len(column.codes) == 1 else ChoiceColumn(column.codes[rows], column.values)
        if len(column.low) == 1:
            return column
        return NumberColumn(column.low[rows], column.high[rows], column.known[rows])

    return Columns(floors, {name: drawn(column) for name, column in columns.facts.items()})


def by_hand(program: Program, order: list[int]) -> Callable[[Columns], np.ndarray]:
    """What somebody would write by hand for these rules: an expression of whole columns for each, no bits."""
    lines = ["def rules(facts, floors):", "    held = {}"]
    lines.append(f"    fired = np.zeros(({len(program.rules)}, floors), bool)")
    findings = {name for rule in program.rules for name in rule.findings}
    for place in order:
        rule, terms = program.rules[place], []
        for p in rule.patterns:
            column = f"facts[{p.fact!r}]"
            if p.fact in findings:
                terms.append(f"held[{p.fact!r}]")
            elif p.values is not None:
                either = " | ".join(f"({column}.codes == {column}.at({value!r}))" for value in sorted(p.values))
                terms.append(f"({either})")
            else:
                terms += [f"({column}.{c.end} {c.op} {c.bound!r})" for c in p.comparisons]
                terms += [] if p.known is None else [f"{'' if p.known else '~'}{column}.known"]
        lines.append(f"    fired[{place}] = {' & '.join(terms) or 'True'}")
        for name in rule.findings:
            lines.append(f"    held[{name!r}] = held.get({name!r}, False) | fired[{place}]")
    lines.append("    return fired")
    space: dict[str, object] = {"np": np}
    exec("\n".join(lines), space)
    rules = space["rules"]

    class Plain:
        """A choice's codes, and those of some values."""

        def __init__(self, column: ChoiceColumn) -> None:
            self.codes, self._values = column.codes, ("unknown", *column.values)

        def at(self, value: str) -> int:
            return self._values.index(value)

    def run(columns: Columns) -> np.ndarray:
        facts = {n: Plain(c) if isinstance(c, ChoiceColumn) else c for n, c in columns.facts.items()}
        return rules(facts, columns.floors)  # type: ignore[operator,no-any-return]

    return run


def per_case(action: Callable[[], object], cases: int) -> float:
    """Seconds of this process a case."""
    began = time.process_time()
    action()
    return (time.process_time() - began) / cases


_READING: ManyAnswers | None = None
_FLOORS: Columns | None = None


def prepare() -> None:
    """Make a worker ready, outside what is timed."""
    global _READING, _FLOORS
    base = load_rulebase()
    _READING, rng = ManyAnswers(base), Random(2)
    _FLOORS = sampled(columns_of(base, [random_case(base, rng) for _ in range(300)]), ADVISED // 2)
    _READING.answer(_FLOORS[:CHUNK])


def work(_: int) -> int:
    """A worker's share."""
    assert _READING is not None
    assert _FLOORS is not None
    return sum(_READING.answer(chunk).floors for chunk in _FLOORS.chunks())


def processes(count: int, shares: int) -> float:
    """Seconds for some shares on a number of processes, warm."""
    with ProcessPoolExecutor(count, mp_context=get_context("fork"), initializer=prepare) as pool:
        list(pool.map(abs, range(count * 4)))
        list(pool.map(work, range(count)))
        began = time.perf_counter()
        list(pool.map(work, range(shares)))
        return time.perf_counter() - began


def main() -> None:
    """Print seconds and ratios of this run."""
    base = load_rulebase()
    reading = ManyAnswers(base)
    program, rng = reading.program, Random(1)
    limits = limits_of(program)
    floors = [random_case(base, rng, bounds=limits) for _ in range(DISTINCT)]
    stated = columns_of(base, floors)
    working = reading.working(stated)
    memories = [working_memory(base, floor) for floor in floors[:ONE_BY_ONE]]
    print(f"{len(base.rules)} rules ({len(program.rules)} ground), {len(base.finishes)} finishes; CPU time of one core")

    million = sampled(working, MILLION)
    cases: ManyCases = reading.cases
    cases.infer(million[:CHUNK])
    ours = per_case(lambda: [cases.infer(chunk) for chunk in million.chunks()], MILLION)
    hand, some = by_hand(program, cases._order), million[: 4 * CHUNK]
    checked: Fired = cases.infer(million[:CHUNK])
    flags = hand(million[:CHUNK])
    assert all((checked.where(rule.name) == flags[place]).all() for place, rule in enumerate(program.rules))
    by_numpy = per_case(lambda: [hand(chunk) for chunk in some.chunks()], some.floors)
    clips, engine = Clips(program), OneCase(program)
    by_clips = per_case(lambda: [clips.fired(memory) for memory in memories], len(memories))
    by_rete = per_case(lambda: [engine.infer(memory) for memory in memories], len(memories))
    print(f"rules alone, {MILLION} floors: {ours * 1e6:.3f} us a floor")
    print(f"  CLIPS {by_clips * 1e3:.2f} ms, {by_clips / ours:.0f} times as long (asked: 2000)")
    print(f"  durable-rules {by_rete * 1e3:.2f} ms, {by_rete / ours:.0f} times as long")
    print(f"  hand-written NumPy {by_numpy * 1e6:.3f} us; ours takes {ours / by_numpy:.2f} of it (asked: at most 2)")

    many = sampled(stated, ADVISED)
    whole = per_case(lambda: [reading.answer(chunk) for chunk in many.chunks()], ADVISED)

    def one_by_one(fire: Callable[[dict], list]) -> None:
        for floor in floors[:ONE_BY_ONE]:
            memory = working_memory(base, floor)
            standings(base, memory, record(base, memory, fire(memory), floor))

    named = {rule.name: rule for rule in program.rules}
    with_clips = per_case(lambda: one_by_one(lambda m: [named[n] for n in clips.fired(m)]), ONE_BY_ONE)
    with_rete = per_case(lambda: one_by_one(engine.infer), ONE_BY_ONE)
    print(f"whole advice, {ADVISED} floors: {1 / whole:.0f} floors a second (asked: 200000)")
    print(f"  with CLIPS {with_clips * 1e3:.2f} ms a floor, {with_clips / whole:.0f} times as long")
    print(f"  with durable-rules {with_rete * 1e3:.2f} ms a floor, {with_rete / whole:.0f} times as long")

    tracemalloc.start()
    reading.answer(many[:CHUNK])
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    print(f"memory: {peak / 1e6:.0f} MB at work, {peak / CHUNK:.0f} bytes for each of {CHUNK}, however many floors")

    one, two = processes(1, 4), processes(2, 4)
    print(f"two processes: {one / two:.2f} times one (asked: 1.7)")


if __name__ == "__main__":
    main()
