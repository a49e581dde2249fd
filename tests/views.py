"""What every view says of one floor, side by side: advise, why, next, turn, revise, graph, letter, materials, survey.

Each is asked as its verb asks it; what is data is compared as data, what is only text by the texts it is made from.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from random import Random
from typing import Any

import numpy as np
import pyarrow as pa

from advisor.answer.apart import drawbacks
from advisor.answer.judging import Judge, judge_of
from advisor.answer.kind_words import before_buying, heading, in_short, please_wait
from advisor.answer.many_answers import ManyAnswers
from advisor.answer.picturing import advice_graph
from advisor.answer.ranking import Recommendation
from advisor.asking.advice import advise_fully
from advisor.asking.explaining import Explained
from advisor.asking.interview import Interview
from advisor.asking.next_record import next_record
from advisor.asking.next_words import outlook_told
from advisor.asking.revision import revise
from advisor.asking.revision_record import revision_record
from advisor.asking.turning import would_turn
from advisor.asking.why_record import why_record
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case, make_case
from advisor.facts.statements import Statement
from advisor.model.advice import Advice, Answer
from advisor.pages.blocks import Block, Notice, Page, Paragraph
from advisor.pages.compare import compared
from advisor.pages.letter import letter_page
from advisor.pages.parts import heads
from advisor.pages.short_answer import short_page
from advisor.survey.survey import advice_table
from advisor.survey.tables import read_headings, read_piece
from advisor.work.before import before
from advisor.work.extent import BadJob
from advisor.work.fit import fitted
from advisor.work.takeoff import TakeOff, begin
from explanations.graph import ANSWER
from explanations.reading import Reading, measuring, theirs
from explanations.telling import tell
from explanations.words import first_sentence
from tests.asking_trials import trials
from tests.floors import limits_of, random_case

SAID_OF_AN_ANSWER = ("kind", "finish", "leading", "runner_up", "fallback", "tied", "waits_for")


@dataclass(frozen=True)
class Views:
    """One rule base made ready, to be asked in every way."""

    reasoner: Reasoner
    today: date

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
                ("pages", self._pages(case, advice)),
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
        found = would_turn(self.reasoner, case, most=1, today=self.today)
        yield from _differing(advice.answer, found.now, whole=False)
        assert advice.certainty is not None
        if advice.certainty.state == "certain":
            opened = self._open(case)
            turned = {each.fact for turn in found.turns for each in turn.changes if each.fact in opened}
            yield from _unless(not turned, f"certain, and yet {turned} would turn it")

    def _open(self, case: Case) -> set[str]:
        interview = Interview(self.reasoner, self.judge, self.today, case)
        interview.close()
        return set(interview.outlook.undecided)

    def _pages(self, case: Case, advice: Advice) -> Iterator[str]:
        try:
            study = begin(self.reasoner, case, self.today)
            letter = letter_page(study, 0.03).blocks
        except BadJob:  # nobody said how large it is
            case = make_case(self.reasoner.base, {**case.stated, "area": Statement("40 m2")}, self.today, case.floor)
            study, advice = begin(self.reasoner, case, self.today), advise_fully(self.reasoner, case, self.today)
            try:
                letter = letter_page(study, 0.03).blocks
            except BadJob:
                return
        answer = advice.answer
        yield from _differing(answer, study.advice.answer, whole=True)
        yield from self._one_voice(fitted(study), letter)
        paragraphs = [each.text for each in letter if isinstance(each, Paragraph)]
        yield from _unless(fitted(study).advice.opening in paragraphs, "the letter has another answer")
        assert advice.certainty is not None
        yield from _unless(advice.certainty.says in paragraphs, "the letter is settled otherwise")
        waits = please_wait(answer.waits_for)
        yield from _unless((waits in paragraphs) == (answer.kind == "test first"), "the letter waits otherwise")
        blocked = bool(answer.leading is None or advice.stops or advice.holds)
        bought = any(each.startswith("Please buy nothing yet") for each in paragraphs)
        yield from _unless(blocked == bought, "the letter lets buy otherwise")
        yield from self._heads(study, letter, advice)

    def _one_voice(self, study: TakeOff, letter: Sequence[Block]) -> Iterator[str]:
        """What it costs, how long it takes, what comes first and what speaks against it: everywhere as in `advise`."""
        advice, said = study.advice, flat(letter)
        page = flat(short_page(advice).blocks)
        yield from _unless(bool(advice.stops) or advice.opening in page, "advise: another first sentence")
        leading, fit = advice.leading, advice.fit
        if leading is None or advice.stops or advice.holds:
            return
        against = [first_sentence(each.because) for each in drawbacks(leading, 2)]
        graph = advice_graph(advice, self.reasoner.base)
        for each in against:
            yield from _unless(each in page, f"advise: not against it: {each}")
            yield from _unless(each in said, f"letter: not against it: {each}")
        drawn = {data["rule"] for _, data in graph.nodes(data=True) if data["kind"] == "rule"}
        yield from _unless({each.rule for each in drawbacks(leading, 2)} <= drawn, "graph: less against it")
        firsts = [each.need for each in before(study, leading.finish).steps]
        yield from _unless(firsts == [each.need for each in leading.first], "plan: another order of what comes first")
        if fit is None:
            return
        (column,) = compared(study, [leading.finish], 0.03)
        low, high = column.figures.hired if study.hired else column.figures.own
        yield from _unless((low.total, high.total) == fit.cost, "cost and compare: another cost")
        yield from _unless(column.shut == fit.days, "compare: other days")
        head = flat(heads(study, "", leading.finish))
        yield from _unless(all(each in head for each in fit.says) == bool(fit.but), "cost, plan: fits otherwise")

    def _heads(self, study: TakeOff, letter: Sequence[Block], advice: Advice) -> Iterator[str]:
        leading = advice.answer.leading
        for view, blocks in (("letter", letter), ("materials", list(heads(study, "", leading)))):
            notices = {each.title: each.items for each in blocks if isinstance(each, Notice)}
            stops = next((items for title, items in notices.items() if title.startswith("Stop:")), ())
            same = [each.tell in item for each, item in zip(advice.stops, stops, strict=False)]
            yield from _unless(all(same) and len(stops) == len(advice.stops), f"{view}: other stops")
            holds = notices.get("No finish before this is done", ())
            yield from _unless(len(holds) == len(advice.holds), f"{view}: other holds")
            if view == "materials" and leading and not advice.stops:
                standing = study.standing(leading)  # in the reader's units
                deciding = [each for each in standing.first if each.decides]
                title = before_buying([each.kind for each in deciding])
                told = notices.get(title, ()) if deciding else ()
                yield from _unless(tuple(each.says for each in deciding) == told, "materials: it waits otherwise")
                if advice.answer.kind == "test first":
                    yield from _unless([each.kind for each in deciding] != [], "materials: nothing waits")
        if advice.answer.kind == "finish" and leading:
            yield from _unless(advice.answer.finish == leading, "another finish leads than is recommended")
        yield from _unless(bool(heading(advice.answer)), "no heading")

    def surveyed(self, cases: Sequence[Case]) -> list[str]:
        """What a survey of the floors, as a table, says otherwise of any of them."""
        base, reading = self.reasoner.base, ManyAnswers(self.reasoner.base)
        names = [name for name in base.facts if any(name in case.stated for case in cases)]
        cells: dict[str, list[Any]] = {
            name: [case.stated[name].text if name in case.stated else None for case in cases] for name in names
        }
        batch = pa.RecordBatch.from_pydict({name: pa.array(some, pa.string()) for name, some in cells.items()})
        piece = read_piece(base, batch, read_headings(base, names, "the table"), np.arange(len(cases)))
        rows = {row["row"]: row for row in advice_table(reading, piece).to_pylist()}
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
        return found


def flat(blocks: Iterable[Block]) -> str:
    """All that blocks say, in one line."""
    return " ".join(Page("", tuple(blocks)).words().split())


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
