"""One case: our adapter beside bare durable-rules (its own Host) and CLIPS, on the same rules and floors."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import count
from random import Random
from typing import Any

from advisor.engines.packing import pack
from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import OneCase, Session, _compiled, _message
from advisor.facts.memory import working_memory
from advisor.model.program import GroundRule, Program
from advisor.model.values import Value
from advisor.validation.loading import load_rulebase
from tests.floors import random_case
from tests.referees import Clips

FLOORS, ROUNDS, COLD_STARTS, PAUSE = 60, 5, 9, 12.0


class Napping(list[str]):
    """A list that takes long over its third entry, as if the process had been paused there."""

    def append(self, entry: str) -> None:
        super().append(entry)
        if len(self) == 3:
            time.sleep(PAUSE)


class BareHost:
    """The same networks in durable-rules' own Host, with its two background threads; actions only record."""

    _sessions = count(1)

    def __init__(self, program: Program) -> None:
        from durable import engine

        self.fired: list[str] = []
        self.networks: dict[str, set[str]] = {}
        definitions: dict[str, Any] = {}
        for topic, rules in program.by_topic.items():
            for number, each in enumerate(pack(rules)):
                name = f"bare-{topic}-{number}"
                rules_with_facts = [rule for rule in each.rules if rule.patterns]
                definitions[name] = {rule.name: self._recording(rule) for rule in rules_with_facts}
                definitions[name]["sentinel"] = {"all": [{"c": {"fact": "sentinel"}}], "run": lambda _: None}
                self.networks[name] = {p.fact for rule in each.rules for p in rule.patterns}
        self.host = engine.Host(definitions)
        self.rules = {rule.name: rule for rule in program.rules}
        self.always = {name for rule in program.rules if not rule.patterns for name in rule.findings}
        self.unhandled = engine.MessageNotHandledException

    def _recording(self, rule: GroundRule) -> dict[str, Any]:
        return {**_compiled(rule), "run": lambda _: self.fired.append(rule.name)}

    def infer(self, memory: dict[str, Value]) -> int:
        """Rules fired, findings fed back by hand until nothing new comes."""
        sid = f"bare-{next(self._sessions)}"
        self.fired.clear()
        for network in self.networks:
            self._post(network, {"sid": sid, "id": "sentinel", "fact": "sentinel"})
        facts: dict[str, Value | None] = {**memory, **dict.fromkeys(self.always)}
        told: set[str] = set()
        while facts:
            for network, used in self.networks.items():
                for name in sorted(used & facts.keys()):
                    self._post(network, {"sid": sid, **json.loads("{" + _message(name, facts[name]))})
            told |= facts.keys()
            found = {name for fired in self.fired for name in self.rules[fired].findings}
            facts = dict.fromkeys(found - told)
        for network in self.networks:
            self.host.delete_state(network, sid)
        return len(self.fired)

    def _post(self, network: str, message: dict[str, Any]) -> None:
        try:
            self.host.assert_fact(network, message)
        except self.unhandled:
            return


def milliseconds(work: Callable[[], object]) -> float:
    """CPU time, of all threads; best of several rounds."""
    taken = []
    for _ in range(ROUNDS):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken) * 1000


def main() -> None:
    """Print milliseconds a case and their ratios, and the time of a cold `advisor advise`."""
    reasoner = Reasoner(load_rulebase())
    rng = Random(7)
    floors = [working_memory(reasoner.base, random_case(reasoner.base, rng)) for _ in range(FLOORS)]
    ours, clips, bare = OneCase(reasoner.program), Clips(reasoner.program), BareHost(reasoner.program)
    for memory in floors:
        always = sum(1 for rule in reasoner.program.rules if not rule.patterns)
        fired = len(ours.infer(memory))
        assert fired == len(clips.fired(memory)) == bare.infer(memory) + always
    adapter = milliseconds(lambda: [ours.infer(memory) for memory in floors]) / FLOORS
    host = milliseconds(lambda: [bare.infer(memory) for memory in floors]) / FLOORS
    shell = milliseconds(lambda: [clips.fired(memory) for memory in floors]) / FLOORS
    print(f"one case, {len(reasoner.program.rules)} ground rules, {FLOORS} random floors, best of {ROUNDS}")
    print(f"  adapter            {adapter:8.2f} ms a case")
    print(f"  bare durable-rules {host:8.2f} ms a case; adapter / bare = {adapter / host:.2f} (at most 1.30)")
    print(f"  CLIPS              {shell:8.2f} ms a case; adapter / CLIPS = {adapter / shell:.2f}")
    paused(reasoner, floors[0])
    starts = [cold_start() for _ in range(COLD_STARTS)]
    bare_start = statistics.median(cold_start("pass") for _ in range(COLD_STARTS))
    cold = statistics.median(starts)
    print(f"advisor advise, cold, whole process: {cold:.2f} s (under 0.6), {cold / bare_start:.0f} times a bare Python")


def paused(reasoner: Reasoner, memory: dict[str, Value]) -> None:
    """A pause within each network's telling loses no conclusion; bare durable-rules drops all after 10 s."""
    one_case = OneCase(reasoner.program)
    expected = [rule.name for rule in one_case.infer(memory)]
    longest = max(one_case.networks, key=lambda each: len(each.rules))
    noted, longest._fired = longest._fired, Napping()
    with Session(one_case) as session:
        assert [rule.name for rule in session.tell(memory)] == expected
    longest._fired = noted
    print(f"  a pause of {PAUSE:.0f} s amid the firings: the same {len(expected)} rules")


def cold_start(code: str = "") -> float:
    """Seconds of a whole process."""
    command = [sys.executable, "-c", code] if code else [sys.executable, "-m", "advisor", "advise", "untested_garage"]
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
