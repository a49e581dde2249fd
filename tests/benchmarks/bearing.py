"""What is told is what the answer hangs on: measured over scenario floors and random ones, by the engine.

The shares that `tests/answer/test_bearing.py` holds on a few floors: gists whose every reason turns the answer, answers
whose first reason sets the first finish apart from the next, single facts that turn the answer and are not told. And
what it takes to class facts: those that turn the answer alone, and all of them.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import date
from itertools import chain, count, islice, zip_longest
from random import Random
from statistics import median
from time import process_time

from advisor.answer.many_answers import ManyAnswers
from advisor.answer.variants import variants_of
from advisor.asking.bearing_facts import turning_alone
from advisor.asking.explaining import Explained
from advisor.asking.scanning import Scan
from advisor.errors import BadCase
from advisor.facts.case import Case, say
from tests.answer.test_bearing import BASE, REASONER
from tests.floors import limits_of, random_case
from tests.scenario_files import shelf
from tests.turning_trials import idle, missed_facts, separates, told_alone, untrue

DRAWN = 1_000
EACH = 10  # of so many floors one is timed
VALUES = 6  # of each fact that are stated, at most, to see whether one turns the answer
BY_ENGINE = 50  # of so many floors one is searched for facts by the engine, one value after the other: 20 s of CPU


def main(drawn: int = DRAWN) -> None:
    """All scenario floors and so many random ones, in turn; told on the way, so that what is there can be read."""
    rng, told, spent = Random(17), Counter[str](), defaultdict[str, list[float]](list)
    many = ManyAnswers(BASE, REASONER.program)
    for number, (kind, case) in enumerate(_floors(rng, drawn), start=1):
        one = Explained(REASONER, case)
        apart = separates(one)
        told[f"{kind} floors"] += 1
        told["gists with a reason that turns nothing"] += bool(idle(one))
        told["gists without one that turns it alone"] += not told_alone(one)
        told["answers with two finishes to set apart"] += apart is not None
        told["of them, first reasons that set them apart"] += bool(apart)
        told["reasons told otherwise than they turn"] += len(otherwise := list(untrue(one)))
        missed = list(missed_facts(one, rng, VALUES, many))
        if number % BY_ENGINE == 0:
            told["floors searched for facts by the engine, too"] += 1
            missed += missed_facts(one, rng)
        told["facts that turn alone and are not told"] += len(missed)
        for what in (*otherwise, *missed):
            print(f"{case.floor}: {what}", flush=True)
        if number % EACH == 0:
            spent["alone"].append(_spent(lambda case=case: turning_alone(Scan(variants_of(REASONER), case))))
            spent["all"].append(_spent(one.facts))
            print("; ".join(f"CPU of {what}: {median(some):.2f} s (median)" for what, some in spent.items()))
            print("; ".join(f"{what}: {times}" for what, times in told.items()), flush=True)


def _spent(work: Callable[[], object]) -> float:
    begun = process_time()
    work()
    return process_time() - begun


def _said(case: Case) -> Case | None:
    """The case with what is in doubt set aside; none where it contradicts itself."""
    with suppress(BadCase):
        return say(BASE, case, {}, date.today())
    return None


def _floors(rng: Random, drawn: int) -> Iterator[tuple[str, Case]]:
    """Each with where it is from, one of the scenarios and a random one in turn; in each is set aside what is in doubt.

    Otherwise that would be only once something else is stated.
    """
    scenarios = [say(BASE, each, {}, date.today()) for each in shelf().cases(BASE).values()]
    rng.shuffle(scenarios)
    limits, drawing = limits_of(REASONER.program), Random(6)
    drawn_facts = (random_case(BASE, drawing, bounds=limits) for _ in count())
    made = (said for at, facts in enumerate(drawn_facts) if (said := _said(Case(f"floor {at}", "", facts))))
    both = zip_longest((("scenario", each) for each in scenarios), (("drawn", each) for each in islice(made, drawn)))
    return (each for each in chain.from_iterable(both) if each)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else DRAWN)
