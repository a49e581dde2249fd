"""What every view says of one floor, side by side: advise, why, next, turn, revise, graph, letter, materials, survey.

Each is asked as its verb asks it; what is data is compared as data, what is only text by the texts it is made from.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from random import Random
from typing import Any

import numpy as np
import pyarrow as pa
import pytest

from advisor.answer.judging import Judge, judge_of
from advisor.answer.kind_words import in_short
from advisor.answer.many_answers import ManyAnswers
from advisor.answer.picturing import advice_graph
from advisor.answer.ranking import NAMING, Recommendation
from advisor.answer.variants import variants_of
from advisor.asking.advice import advise_fully
from advisor.asking.bearing_facts import turning_alone
from advisor.asking.explaining import Explained
from advisor.asking.interview import Interview
from advisor.asking.next_record import next_record
from advisor.asking.next_words import outlook_told
from advisor.asking.revision import revise
from advisor.asking.revision_record import revision_record
from advisor.asking.scanning import Scan
from advisor.asking.turning import would_turn
from advisor.asking.why_record import why_record
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Answer
from advisor.survey.survey import advice_table
from advisor.survey.tables import read_headings, read_piece
from advisor.work.cost import cost_range
from advisor.work.extent import BadJob
from advisor.work.pace import work_hours
from advisor.work.pricebook import PriceBook
from advisor.work.takeoff import TakeOff, begin, book_for_many
from explanations.graph import ANSWER
from explanations.reading import Reading, measuring, theirs
from explanations.telling import tell
from explanations.wording import wording
from tests.asking_trials import trials
from tests.floors import limits_of, random_case
from tests.views_of_work import disagreements as disagreements_of_work

TAKEN = ("cost_low", "cost_high", "hours_low", "hours_high")
SAID_OF_AN_ANSWER = ("kind", "finish", "leading", "runner_up", "fallback", "tied", "waits_for")


@dataclass(frozen=True)
class Views:
    """One rule base made ready, to be asked in every way."""

    reasoner: Reasoner
    today: date
    everything: bool = True  # of `turn` all sets, each borne out by the engine: half of what a floor takes

    @property
    def judge(self) -> Judge:
        return judge_of(self.reasoner)

    def floors(self, rng: Random, count: int) -> Iterator[Case]:
        """Random floors, stated as in a case file: half as the likelihoods make them, half of any kind.

        Those of any kind often state what hardly goes together, and is set aside.
        """
        base = self.reasoner.base
        limits = limits_of(self.reasoner.program)
        usual = iter(trials(self.judge, rng, count, usual=True, hidden=0.5))
        while count:
            facts = next(usual).known if count % 2 else random_case(base, rng, bounds=limits)
            stated = {name: Statement(value.choice or value.shown) for name, value in facts.items()}
            try:
                yield make_case(base, stated, self.today, f"floor {count}")
            except BadCase:  # rounded in writing, it may contradict itself
                continue
            count -= 1

    def disagreements(self, case: Case) -> list[str]:
        """What two views say otherwise of a floor; none where all agree."""
        advice = advise_fully(self.reasoner, case, self.today)
        return [
            f"{view}: {what}"
            for view, found in (
                ("why", self._why(case, advice)),
                ("graph", self._graph(advice)),
                ("next", self._next(case, advice)),
                ("revise", self._revise(case, advice)),
                ("turn", self._turn(case, advice)),
                ("work", self._work(case)),
            )
            for what in found
        ]

    def _why(self, case: Case, advice: Advice) -> Iterator[str]:
        told = Explained(self.reasoner, case, self.today)
        yield from _differing(advice.answer, told.advice.answer, whole=True)
        data = why_record(told, None, "").model_dump()
        yield from _unless(data["answer"] == advice.answer.model_dump(), "its data has another answer")
        name = _name(advice, advice.answer.leading)
        short = in_short(advice.answer, name)
        if advice.answer.kind != "finish":
            yield from _unless(
                data["sentence"].startswith(short[:-1]), f"it begins {data['sentence']!r}, not {short!r}"
            )
        yield from _unless(advice.answer.sentence[:-1] in tell(told.graph, "full"), "the answer is not told in full")
        for standing in (*advice.standings[:2], advice.standings[-1]):
            said = why_record(told, standing.finish, "").model_dump()
            same = (said["verdict"], said["rank"], said["total"]) == (standing.verdict, standing.rank, standing.total)
            yield from _unless(same, f"{standing.finish} stands otherwise")

    def _graph(self, advice: Advice) -> Iterator[str]:
        graph = advice_graph(advice, self.reasoner.base)
        yield from _unless(graph.nodes[ANSWER]["answer"] == advice.answer.kind, "another kind")
        yield from _unless(graph.nodes[ANSWER]["label"] == advice.answer.sentence, "another answer")
        drawn = {data["finish"]: data for _, data in graph.nodes(data=True) if data["kind"] == "standing"}
        for each in advice.standings:
            there = drawn[each.finish]
            same = (there["verdict"], there["rank"], there["total"]) == (each.verdict, each.rank or 0, each.total)
            yield from _unless(same, f"{each.finish} stands otherwise")
        for kind, expected in (
            ("hold", {each.need for each in advice.holds}),
            ("refer", {each.referral for each in (*advice.stops, *advice.referrals)}),
        ):
            found = {data["name"] for _, data in graph.nodes(data=True) if data["kind"] == kind}
            yield from _unless(found == expected, f"{kind}: {found} against {expected}")

    def _next(self, case: Case, advice: Advice) -> Iterator[str]:
        interview = Interview(self.reasoner, self.judge, self.today, case, ask_declined=True)
        try:
            now = Recommendation.of(advice.answer.kind, advice.answer.leading)
            yield from _unless(interview.outlook.now == now, f"{interview.outlook.now} against {now}")
            yield from _unless(interview.certainty == advice.certainty, "how settled it is, is told otherwise")
            yield from _differing(advice.answer, interview.advice().answer, whole=True)
            data, lines = next_record(interview, 1), list(outlook_told(interview, 1))
            yield from _unless(data.now.model_dump() == now._asdict(), "its data has another answer")
            assert advice.certainty is not None
            yield from _unless(advice.certainty.says in lines, "its text does not say how settled it is")
            first = next(each for each in lines if each.startswith(wording("certainty.now", answer="")))
            yield from _unless(advice.answer.sentence.rstrip(".") in first, f"its text has another answer: {first}")
            if advice.certainty.settled:
                yield from _unless(not data.questions, "it asks although it is settled")
                yield from _unless(not advice.ask_next, "the advice asks although it is settled")
            elif data.questions:
                stopped = any("order no test" in line for line in lines)
                yield from _unless(stopped == bool(advice.stops), "a stop is told otherwise")
        finally:
            interview.close()

    def _revise(self, case: Case, advice: Advice) -> Iterator[str]:
        revision = revise(self.reasoner, case, [], self.today)
        for each in (revision.before, revision.after):
            yield from _differing(advice.answer, each.answer, whole=True)
        yield from _unless(not revision.facts and not revision.new and not revision.no_longer, "something is new")
        yield from _unless({each.change for each in revision.finishes} <= {"stands", "stays out"}, "a finish changed")
        yield from _unless(
            [each.says for each in revision.set_aside] == [a.says for a in advice.set_aside], "set aside"
        )
        revision_record(revision)

    def _turn(self, case: Case, advice: Advice) -> Iterator[str]:
        """What `turn` shows of single facts, what `why` counts of them, and what `advise` says would turn it."""
        found = would_turn(self.reasoner, case, most=1, everything=self.everything, today=self.today)
        yield from _differing(advice.answer, found.now, whole=False)
        assert advice.certainty is not None
        alone = {each.fact: each for each in turning_alone(Scan(variants_of(self.reasoner), case))}
        shown = {each.fact for turn in found.turns for each in turn.changes}
        yield from _unless(shown <= alone.keys(), f"{shown - alone.keys()} would not turn it alone, by why")
        if advice.certainty.state == "certain":
            opened = self._open(case) & (shown | alone.keys())
            yield from _unless(not opened, f"certain, and yet {opened} would turn it")
        if advice.certainty.state != "but for one":  # there with what is asked after it
            for each in advice.certainty.turns:
                to = f"{each.kind}: {each.finish}" if each.kind in NAMING else each.kind
                tried = alone[each.fact].to if each.fact in alone else ()
                yield from _unless(to in tried, f"advise: {each.says} why: {tried}")

    def _open(self, case: Case) -> set[str]:
        interview = Interview(self.reasoner, self.judge, self.today, case)
        interview.close()
        return set(interview.outlook.undecided)

    def _work(self, case: Case) -> Iterator[str]:
        """All pages about the work, of the case as it is, or with a size where nobody said how large it is."""
        sized = make_case(self.reasoner.base, {**case.stated, "area": Statement("40 m2")}, self.today, case.floor)
        for each in (case, sized):
            try:
                study = begin(self.reasoner, each, self.today)
                yield from disagreements_of_work(self.reasoner, study)
                return
            except BadJob:
                continue

    def surveyed(self, cases: Sequence[Case]) -> list[str]:
        """What a survey of the floors, as a table, says otherwise of any of them."""
        base, reading = self.reasoner.base, ManyAnswers(self.reasoner.base)
        names = [name for name in base.facts if any(name in case.stated for case in cases)]
        cells: dict[str, list[Any]] = {
            name: [case.stated[name].text if name in case.stated else None for case in cases] for name in names
        }
        batch = pa.RecordBatch.from_pydict({name: pa.array(some, pa.string()) for name, some in cells.items()})
        piece = read_piece(base, batch, read_headings(base, names, "the table"), np.arange(len(cases)))
        book = book_for_many(base, self.today)
        rows = {row["row"]: row for row in advice_table(reading, book, piece).to_pylist()}
        found = [f"survey: row {bad.row} is set aside: {bad.reason}" for bad in piece.bad]
        for at, case in enumerate(cases):
            advice = advise_fully(self.reasoner, case, self.today)
            answer, row = advice.answer, rows.get(at, {})
            expected = {
                "answer": answer.kind,
                **{name: getattr(answer, name) for name in ("finish", "leading", "runner_up", "fallback")},
                "stops": sorted(each.referral for each in advice.stops),
                "holds": sorted(each.need for each in advice.holds),
            }
            said = {name: sorted(row[name]) if isinstance(row[name], list) else row[name] for name in expected if row}
            found += [f"survey: row {at}: {said} against {expected}"] if said != expected else []
            taken = taken_by_its_job(begin(self.reasoner, case, self.today, advice=advice), book)
            told = {name: row.get(name) for name in TAKEN}
            if told != (taken if taken["cost_low"] is None else pytest.approx(taken)):
                found.append(f"survey: row {at}: {told} against {taken} of its own job")
        return found


def taken_by_its_job(study: TakeOff, book: PriceBook) -> dict[str, float | None]:
    """Money and hours of the leading finish as `cost` and `plan` tell them, in the money of the book."""
    leading, area = study.advice.answer.leading, study.facts["area"].interval
    if leading is None or not study.facts["area"].known or area is None or area.low <= 0:
        return dict.fromkeys(TAKEN)
    job = study.job(leading)
    low, high = cost_range(job, book.used_in(study.facts["country"].choice))
    return dict(zip(TAKEN, (low.total, high.total, *work_hours(job)), strict=True))


def _name(advice: Advice, finish: str | None) -> str:
    return next((each.name for each in advice.standings if each.finish == finish), "")


def _differing(answer: Answer, other: Answer, whole: bool) -> Iterator[str]:
    """What two answers do not have alike; the whole has what the answers to a question would lead to, too."""
    for name in (*SAID_OF_AN_ANSWER, *(("sentence", "asks") if whole else ())):
        one, two = getattr(answer, name), getattr(other, name)
        yield from _unless(_for_one(one) == _for_one(two), f"{name}: {two!r} against {one!r}")


def _for_one(said: object) -> str:
    """As one reader sees it: a page with prices has a reader even where nobody named the country."""
    with measuring(Reading("us")):
        return theirs(repr(said))


def _unless(so: bool, what: str) -> Iterator[str]:
    if not so:
        yield what
