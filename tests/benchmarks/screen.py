"""How long the one-screen answer is: `python -m tests.benchmarks.screen [FLOORS]`.

Floors as they are met with everything known, floors of all kinds half known, and floors as an interview leaves them.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Iterator
from random import Random
from statistics import median

import advisor
from advisor.errors import AdvisorError
from advisor.facts.case import Case
from advisor.pages.short_answer import OF_A_STOP, SCREEN, short_page
from advisor.pages.text import length
from advisor.work.fit import study_fully
from tests.benchmarks.interview import TODAY, drawn
from tests.interviewed import hold
from tests.views import Views

SEED, ASKED_ONE_IN = 5, 4


def floors(adviser: advisor.Adviser, count: int) -> Iterator[tuple[str, Case]]:
    """Each floor with the group that it is counted in."""
    yield from (("known", adviser.case(facts, today=TODAY)) for _, facts in drawn(adviser, count, SEED))
    yield from (("half known", case) for case in Views(adviser.reasoner, TODAY).floors(Random(SEED), count))
    for _, facts in drawn(adviser, count // ASKED_ONE_IN, SEED + 1):
        yield "asked", hold(adviser.reasoner, facts, TODAY).case


def main() -> None:
    """Print, by group and kind of answer, how many lines it takes and how often that is more than a screen."""
    adviser = advisor.load()
    lines: dict[tuple[str, str], list[int]] = defaultdict(list)
    for group, case in floors(adviser, int(sys.argv[1]) if len(sys.argv) > 1 else 100):
        try:
            advice = study_fully(adviser.reasoner, case, TODAY).advice
        except AdvisorError:  # a size of which no job can be made
            continue
        kind = "stop" if advice.stops else advice.answer.kind
        lines[group, kind].append(length(short_page(advice)))
    for (group, kind), some in sorted(lines.items()):
        some.sort()
        most = OF_A_STOP if kind == "stop" else SCREEN
        ninth = some[-(-9 * len(some) // 10) - 1]
        over = sum(each > most for each in some)
        print(
            f"{group}, {kind}: {len(some)} floors, median {median(some):g} lines, nine in ten {ninth}, "
            f"most {some[-1]}; {over} over {most}"
        )


if __name__ == "__main__":
    main()
