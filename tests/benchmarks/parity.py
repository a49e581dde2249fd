"""On 100,000 random floors columns, durable-rules and CLIPS must fire the same rules: `make bench-parity`.

On every tenth the reading from the YAML on, too, and the naive fixpoint; programs of random shape (a hundredth as many
as floors) through engine, CLIPS and fixpoint. The short forms are in `tests/engines/`: `test_referees`,
`test_many_cases` and `test_second_reading`. A count may be given: `python -m tests.benchmarks.parity 2000`. Exit 1 if
any floor differs.
"""

from __future__ import annotations

import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from random import Random

from advisor.engines.columns import columns_of
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import ManyCases, bounds_of
from advisor.engines.rete import OneCase
from advisor.facts.memory import working_memory
from advisor.model.grounding import ground
from advisor.validation.loading import load_rulebase, rules_folder
from tests.engines.test_referees import disagreeing
from tests.floors import limits_of, random_case
from tests.referees import Clips, fixpoint
from tests.second_reading import SecondReading

FLOORS, PIECE = 100_000, 500


def compare(seed: int) -> tuple[int, int, list[str]]:
    """One piece of floors: how many, how many firings, and which differ."""
    base = load_rulebase()
    program = ground(base)
    rng, limits = Random(seed), limits_of(program)
    floors = [random_case(base, rng, bounds=limits) for _ in range(PIECE)]
    fired = ManyCases(program).infer(working_columns(base, columns_of(base, floors), bounds_of(program)))
    engine, referee, reading = OneCase(program), Clips(program), SecondReading(rules_folder())
    finishes = {rule.name: {(rule.rule, finish) for finish in rule.finishes or ("",)} for rule in program.rules}
    firings, differing = 0, []
    for place, floor in enumerate(floors):
        memory = working_memory(base, floor)
        ours = fired.rules_at(place)
        rete = {rule.name for rule in engine.infer(memory)}
        clips = referee.fired(memory)
        firings += len(ours)
        if not ours == rete == clips:
            differing.append(f"seed {seed}, floor {place}: {sorted((ours ^ clips) | (rete ^ clips))}")
        if place % 10 == 0 and (apart := {each for name in ours for each in finishes[name]} ^ reading.fired(memory)):
            differing.append(f"seed {seed}, floor {place}, from the YAML: {sorted(apart)}")
        if place % 10 == 0 and (apart := ours ^ fixpoint(program, memory)):
            differing.append(f"seed {seed}, floor {place}, by the fixpoint: {sorted(apart)}")
    for _ in range(PIECE // 100):
        differing += disagreeing(rng, 20)
    return len(floors), firings, differing


def main() -> None:
    """Print how many floors agreed."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else FLOORS
    began, floors, firings, differing = time.perf_counter(), 0, 0, []
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        for done, fired, different in pool.map(compare, range(-(-count // PIECE))):
            floors, firings = floors + done, firings + fired
            differing += different
            print(f"{floors} floors, {len(differing)} differ, {time.perf_counter() - began:.0f} s", flush=True)
    print(f"{floors} floors, {firings} firings: columns, durable-rules and CLIPS differ on {len(differing)}")
    for each in differing[:20]:
        print(each)
    sys.exit(bool(differing))


if __name__ == "__main__":
    main()
