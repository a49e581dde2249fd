"""How each reading grows from 100 to 3,000 rules: `python -m tests.benchmarks.growth [FILE.svg]` also draws it.

The rules are the shipped ones, repeated as often as needed, with the bounds of their comparisons moved a little each
time, so that none is the same as another. CLIPS and durable-rules are measured as long as they build.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

from advisor.engines.columns import CHUNK, columns_of
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import ManyCases, bounds_of
from advisor.engines.rete import OneCase
from advisor.engines.smt import EveryCase
from advisor.facts.memory import working_memory
from advisor.model.conditions import Comparison
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Pattern, Program
from advisor.validation.loading import load_rulebase
from tests.benchmarks.columns import per_case, sampled
from tests.floors import random_case
from tests.referees import Clips

SIZES = (100, 300, 1000, 3000)
ONE_BY_ONE, WITNESSES = 40, 60
COLUMNS = ("columns (us/floor)", "CLIPS (ms/floor)", "durable-rules (ms/floor)", "z3 witness (ms/rule)")


def grown(program: Program, size: int) -> Program:
    """A program of so many rules."""
    rng = Random(size)
    rules = [_moved(program.rules[n % len(program.rules)], n // len(program.rules), rng) for n in range(size)]
    topics = dict.fromkeys(rule.topic for rule in rules)
    return Program(tuple(rules), {topic: tuple(r for r in rules if r.topic == topic) for topic in topics})


def _moved(rule: GroundRule, round_: int, rng: Random) -> GroundRule:
    """A rule with its comparisons moved; each round is topics of its own, as a larger rule base would have."""
    if not round_:
        return rule
    patterns = tuple(
        Pattern(
            p.fact,
            p.values,
            tuple(Comparison(c.end, c.op, round(c.bound * rng.uniform(0.95, 1.05), 9)) for c in p.comparisons),
            p.known,
        )
        for p in rule.patterns
    )
    return replace(rule, name=f"{rule.name}-again-{round_}", topic=f"{rule.topic}_{round_}", patterns=patterns)


def measure(base: RuleBase, program: Program) -> list[float | None]:
    """Time a floor for columns [us], CLIPS and durable-rules [ms], and a rule's witness [ms]."""
    rng = Random(1)
    floors = [random_case(base, rng) for _ in range(400)]
    working = sampled(working_columns(base, columns_of(base, floors), bounds_of(program)), CHUNK * 4)
    memories = [working_memory(base, floor) for floor in floors[:ONE_BY_ONE]]
    reading = ManyCases(program)
    columns = per_case(lambda: [reading.infer(chunk) for chunk in working.chunks()], working.floors) * 1e6
    every, chosen = EveryCase(base, program), Random(2).sample(program.rules, WITNESSES)

    def witnesses() -> None:
        for rule in chosen:
            every.floor_where(every.logic.fires(rule.name), every.logic.cone([rule]))

    return [
        columns,
        _one_by_one(lambda: Clips(program).fired, memories),
        _one_by_one(lambda: OneCase(program).infer, memories),
        per_case(witnesses, WITNESSES) * 1e3,
    ]


def _one_by_one(build: Callable[[], Callable[[dict], object]], memories: list[dict]) -> float | None:
    try:
        fire = build()
        began = time.process_time()
        for memory in memories:
            fire(memory)
        return (time.process_time() - began) / len(memories) * 1e3
    except Exception as error:
        print(f"  not measured: {type(error).__name__}: {str(error)[:80]}")
        return None


def draw(table: dict[int, list[float | None]], path: Path) -> None:
    """Both axes are logarithms: a line that rises by 1 in 1 grows as the rules do."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7, 4), layout="constrained")
    axes = figure.add_subplot()
    for place, (name, mark) in enumerate(zip(COLUMNS, "osD^", strict=True)):
        points = [(size, row[place]) for size, row in table.items() if row[place] is not None]
        axes.loglog(*zip(*points, strict=True), marker=mark, label=name)
    axes.set_xlabel("rules")
    axes.set_ylabel("time (see the legend for units)")
    axes.set_xticks(SIZES, [str(size) for size in SIZES])
    axes.legend(fontsize=8)
    figure.savefig(path, metadata={"Date": None})


def main() -> None:
    """Print the table in Markdown."""
    base = load_rulebase()
    program, table = ground(base), {}
    print(f"| rules | {' | '.join(COLUMNS)} |\n| --- | {' | '.join('---' for _ in COLUMNS)} |")
    for size in SIZES:
        table[size] = measure(base, grown(program, size))
        cells = ["-" if each is None else f"{each:.3g}" for each in table[size]]
        print(f"| {size} | {' | '.join(cells)} |", flush=True)
    if len(sys.argv) > 1:
        draw(table, Path(sys.argv[1]))


if __name__ == "__main__":
    main()
