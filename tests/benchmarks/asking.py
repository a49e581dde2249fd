"""What to ask next: how many answers each order of questions needs, and how long the next question takes."""

from __future__ import annotations

import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from random import Random
from typing import TypeVar

from advisor.answer.judging import Judge
from advisor.asking.certainty import certainty
from advisor.asking.interview import OPENING, Interview, Upcoming, interview_about
from advisor.asking.outlook import Outlook
from advisor.demo import demo_cases
from advisor.facts.case import read_case
from advisor.facts.memory import working_memory
from advisor.facts.statements import Statement
from advisor.model.entry import UNKNOWN
from advisor.model.grounding import ground
from advisor.validation.loading import load_rulebase
from tests.asking_trials import SIZE, Trial, answers_needed, asked_in_turn, best_fixed_order, complete, trials

Found = TypeVar("Found")

FLOORS, HIDDEN, TRIES, ROUNDS = 100, 0.9, 300, 9
AFTER = (20, 30, 40)  # facts told
PLAIN = (
    "country", "setting", "room", "exposure", "slab_position", "area", "building_year", "slab_age", "on_floor",
    "wanted_look", "who_works", "budget", "days_shut", "vehicles",
)  # fmt: skip


def in_words(name: str, needed: Sequence[int]) -> str:
    """One line of the table."""
    return f"  {name:34} median {statistics.median(needed):5.1f}  mean {statistics.mean(needed):5.1f}"


def orders(judge: Judge, some: Sequence[Trial], rng: Random) -> None:
    """Ours beside the vocabulary's order and the best fixed one."""
    asked = [asked_in_turn(judge, trial) for trial in some]
    claims = [(said, complete(judge, trial)) for (_, said), trial in zip(asked, some, strict=True) if said]
    wrong = sum(said != really for said, really in claims)
    print(f"  questions until it stops by itself  median {statistics.median(len(order) for order, _ in asked):5.1f}")
    print(f"  called certain on {len(claims)} of {len(some)} floors, wrongly on {wrong}")
    whole = [[*order, *(f for f in t.hidden if f not in order)] for (order, _), t in zip(asked, some, strict=True)]
    alone = answers_needed(judge, some, whole)
    ours = [min(k, len(order)) if said else k for k, (order, said) in zip(alone, asked, strict=True)]
    vocabulary = answers_needed(judge, some, [trial.hidden for trial in some])
    places: dict[str, list[int]] = {}
    for order in whole:
        for place, fact in enumerate(order):
            places.setdefault(fact, []).append(place)
    start = sorted(places, key=lambda fact: statistics.mean(places[fact]))
    _, fixed = best_fixed_order(judge, some, start, rng, TRIES)
    print(in_words("in this order", ours))
    print(in_words("the same, claims of certainty aside", alone))
    print(in_words("in the order of the vocabulary", vocabulary))
    print(in_words("best fixed order, answers known", fixed))
    by_vocabulary = statistics.median(ours) / max(statistics.median(vocabulary), 1)
    by_fixed = statistics.median(ours) / max(statistics.median(fixed), 1)
    print(f"  medians: {by_vocabulary:.2f} of the vocabulary's (0.5 at most),")
    print(f"           {by_fixed:.2f} of the best fixed (1.3 at most)", flush=True)


def speed() -> None:
    """The next question on the demo cases, warm."""
    base = load_rulebase()
    for name, path in demo_cases().items():
        interview = interview_about(base, read_case(path, base), keep_declined=False)
        times = []
        for _ in range(ROUNDS):
            begun = time.perf_counter()
            question = next(Outlook(interview.judge, interview.memory).questions(), None)
            times.append(time.perf_counter() - begun)
        fact = question.fact if question else "nothing"
        print(f"  {name:24} {statistics.median(times) * 1000:6.0f} ms  (asks {fact})")
        interview.close()


def nothing_known(name: str, asks: Callable[[Interview], Upcoming]) -> None:
    """An interview in which the customer knows nothing: CPU of each question, and of the advice at its end.

    In a browser no interview is kept from question to question: so the last one is asked anew, too, of the same case.

    Args:
        name: of the way to ask.
        asks: for what comes next.
    """
    base = load_rulebase()
    interview, times = interview_about(base), []
    while True:
        coming, spent = timed(lambda: asks(interview))
        times.append(spent)
        if coming.ends or not (coming.opening or coming.question):
            break
        facts = base.conversation[coming.opening].settles if coming.opening else ()
        asked = OPENING + coming.opening if coming.opening else coming.question.fact if coming.question else ""
        said = [each for each in facts or (asked,) if not (facts and base.facts[each].unknown_means)]
        interview.tell(asked, dict.fromkeys(said, Statement(UNKNOWN)))
    anew = interview_about(base, interview.case)
    _, again = timed(lambda: asks(anew))
    _, advice = timed(interview.whole_advice)
    anew.close()
    interview.close()
    figures = (times[0], statistics.median(times), max(times[1:]), again, advice)
    first, usual, slowest, last, end = (f"{each * 1000:.0f} ms" for each in figures)
    print(f"  {name}: {len(times)} questions, first {first}, median {usual}, slowest after the first {slowest};")
    print(f"    the last asked anew {last}; the advice at the end {end}")


def timed(work: Callable[[], Found]) -> tuple[Found, float]:
    """What comes of it, and the CPU that it took [s]."""
    begun = time.process_time()
    return work(), time.process_time() - begun


def settled(judge: Judge, some: Sequence[Trial]) -> None:
    """How settled the answer is after so many facts, plain ones and then the best, and how often it then turns."""
    states: Counter[tuple[int, str]] = Counter()
    turned: Counter[tuple[int, str]] = Counter()
    for trial in some:
        known = {fact: trial.floor[fact] for fact in PLAIN if fact in trial.floor}
        while True:
            look = Outlook(judge, working_memory(judge.base, known), SIZE)
            best = (fact for fact, settles, _ in look.ranked() if settles > 0 and fact in trial.floor)
            fact = next((each for each in best if each not in known), None)
            for count in AFTER if fact is None else {len(known)}.intersection(AFTER):
                if count >= len(known):
                    state, end = certainty(look).state, complete(judge, trial)
                    allowed = look.now.kind == "test first" and end == ("finish", look.now.finish)
                    states[count, state] += 1
                    turned[count, state] += end != look.now and not allowed
            if fact is None or len(known) >= max(AFTER):
                break
            known[fact] = trial.floor[fact]
    for key, count in sorted(states.items()):
        print(f"  after {key[0]} facts {key[1]:12} {count:4} of {len(some)}, of which {turned[key]} turned", flush=True)


def main() -> None:
    """Run everything; with a number, on so many floors (500 take some 10 minutes of each kind)."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else FLOORS
    base = load_rulebase()
    judge = Judge(base, ground(base))
    print("next question, warm (200 ms at most):")
    speed()
    print('all answered with "don\'t know", CPU (200 ms at most):')
    nothing_known("as the verb asks", Interview.upcoming)
    nothing_known("until nothing is worth asking", lambda interview: Upcoming(question=interview.next_question()))
    print(f"{count} complete floors as the priors say, each told fact by fact:")
    settled(judge, trials(judge, Random(5), count, True, 1.0))
    for usual, called in ((True, "as the priors say they are met"), (False, "of any kind, each value alike")):
        print(f"{count} complete floors {called}, {HIDDEN:.0%} of the facts hidden:")
        rng = Random(7)
        orders(judge, trials(judge, rng, count, usual, HIDDEN), rng)


if __name__ == "__main__":
    main()
