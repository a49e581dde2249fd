"""Explanations: gist and words, pictures of large graphs, what would turn it, lessons; a thousand floors in words."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from advisor.asking.explaining import Explained
from advisor.asking.turning import would_turn
from advisor.teaching.lesson_sets import lesson_set, rules_of
from advisor.teaching.lessons import Lesson, played
from explanations.formats import graphml, mermaid, node_link, prov_json
from explanations.pictures import draw
from explanations.telling import tell
from explanations.views import gist
from tests.explained import demos, random_floors, the_reasoner
from tests.explanations.test_words import LEVELS, seams

ROUNDS = 7
THOUSAND = 1000


def seconds(work: Callable[[], object], rounds: int = ROUNDS) -> str:
    """Median and worst of some rounds, after one to warm up."""
    work()
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return f"{statistics.median(taken):7.3f} s  (worst {max(taken):.3f} s of {rounds})"


def turning(told: Explained, finish: str) -> float:
    """Seconds of one search for what would turn it for a finish."""
    start = time.perf_counter()
    would_turn(told.reasoner, told.case, finish)
    return time.perf_counter() - start


def main() -> None:
    """Print the table."""
    told = demos()["untested_garage"]
    reasoner = the_reasoner()
    with TemporaryDirectory() as folder:
        path = Path(folder)

        def gist_and_words() -> None:
            fresh = Explained(reasoner, told.case)
            draw(gist(fresh.graph), "Why", path / "gist.svg")
            for level in LEVELS:
                tell(fresh.graph, level)

        large = max(random_floors(20), key=lambda each: len(each.graph))
        print(
            f"case untested_garage: {len(told.graph)} nodes; large graph: {len(large.graph)} nodes, "
            f"{large.graph.number_of_edges()} edges"
        )
        print(f"reason, graph, gist as SVG and words at three levels   {seconds(gist_and_words)}   (asked: under 0.5)")
        for name, each in demos().items():
            print(
                f"what would change the answer, {name:25s}"
                f"{seconds(lambda: would_turn(reasoner, each.case), 3)}   (asked: under 2)"
            )
            slowest = max(reasoner.base.finishes, key=partial(turning, each))
            print(
                f"  for its slowest finish, {slowest:29s}"
                f"{seconds(lambda: would_turn(reasoner, each.case, slowest), 3)}   (asked: under 2)"
            )
        taken = seconds(lambda: draw(large.graph, "All", path / "all.pdf"), 1)
        print(f"large graph as pdf, in chapters                        {taken}")
        for name, write in (("PROV-JSON", prov_json), ("GraphML", graphml), ("Mermaid", mermaid), ("JSON", node_link)):
            print(f"large graph as {name:40s}{seconds(lambda: write(large.graph, 'All'), 3)}")
        print(
            f"a lesson played through                                "
            f"{seconds(lambda: played(Lesson(reasoner, told.case)), 1)}"
        )
        start = time.perf_counter()
        drawn = lesson_set(reasoner, rules_of(reasoner.base, []))
        rules = len(reasoner.base.rules)
        took = time.perf_counter() - start
        print(f"set for all {rules} rules: {len(drawn.lessons)} lessons, {len(drawn.left_out)} left out, {took:.1f} s")
    if "--thousand" in sys.argv:
        floors = random_floors(THOUSAND, seed=77)
        found = [seam for each in floors for level in LEVELS for seam in seams(tell(each.graph, level))]
        print(f"seams in the words of {THOUSAND} random floors, three levels each: {len(found)} {found[:3]}")


if __name__ == "__main__":
    main()
