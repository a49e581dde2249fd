"""The library: a rule base made ready, and what can be asked of it. `import advisor` gives all that is public here.

>>> import advisor
>>> adviser = advisor.load()
>>> floor = adviser.case({"room": "garage", "vehicles": "cars", "slab_humidity": "80 to 85 %", "area": "440 ft2"})
>>> adviser.advise(floor).answer.kind
'test first'

An `Adviser` may be shared by threads; each call is by itself. The date is an argument: tests age against it, and the
ages of buildings and coverings are counted to its year. So are the reader's units, and the seed of the floors that are
drawn to see how settled an answer is. Whoever must outlive an abort of the engine asks an adviser's `contained()`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar

from advisor.asking.advice import advise, advise_fully
from advisor.engines.contained import Contained, reasoner_here
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, make_case, read_case
from advisor.facts.statements import read_statement
from advisor.model.advice import Advice
from advisor.model.knowledge import RuleBase
from advisor.model.years import in_year
from advisor.validation.loading import load_rulebase

if TYPE_CHECKING:
    from advisor.asking.outlook import Question
    from advisor.asking.revision import Revision
    from advisor.asking.turning import Turning
    from advisor.model.reader import System
    from advisor.survey.pieces import Survey
    from advisor.work.takeoff import TakeOff
    from explanations.telling import Level

Given = ParamSpec("Given")
Told = TypeVar("Told")
Said = str | Mapping[str, str]  # a fact's value as people write it, or {"is": ..., "on": ..., "by": ...}


def load(*overlays: Path, products: Sequence[Path] = (), seed: int = 0) -> Adviser:
    """The shipped rule base, with a shop's own folders laid over it, made ready.

    Args:
        overlays: folders, the lowest first; held against the claims about every floor, once for the same contents.
        products: makers' data sheets as files; each is judged as a finish more, beside the one that it is like.
        seed: for the floors that are drawn to see how settled an answer is; nothing else is left to chance.

    Raises:
        BadRuleBase, BadFile: with every fault found.
    """
    return Adviser(load_rulebase(*overlays, products=products), seed)


@dataclass(frozen=True)
class Adviser:
    """A rule base made ready to be asked."""

    base: RuleBase
    seed: int = 0

    @cached_property
    def reasoner(self) -> Reasoner:
        """The engine; shared by all that is asked here, with ages counted to the rule base's own year."""
        return Reasoner(self.base, self.seed)

    @cached_property
    def _by_year(self) -> dict[int, Reasoner]:
        return {}

    def _on(self, day: date) -> Reasoner:
        """The engine with ages counted to this day's year."""
        base = in_year(self.base, day.year)
        if base is self.base:
            return self.reasoner
        if day.year not in self._by_year:
            self._by_year[day.year] = Reasoner(base, self.seed)
        return self._by_year[day.year]

    def contained(self) -> Process:
        """The same adviser in a process of its own; use it as a context."""
        return Process(self.base, seed=self.seed)

    @contextmanager
    def _reader(self, case: Case, system: System | None) -> Iterator[None]:
        """Write for a reader: in the units asked for, else in those of the country where the floor is."""
        from advisor.model.reader import reading_of
        from explanations.reading import measuring

        with measuring(reading_of(self.base, case.facts, system)):
            yield

    def case(self, facts: Mapping[str, Said], floor: str = "", note: str = "", today: date | None = None) -> Case:
        """A floor from plain data, by the names that `advisor facts` lists.

        Raises:
            BadCase: with every fault found.

        >>> load().case({"slab_humidity": {"is": "88 %", "on": "2026-11-02"}}, today=date(2026, 11, 27)).floor
        ''
        """
        today = today or date.today()
        stated = {name: read_statement(name, said, name, today) for name, said in facts.items()}
        return make_case(in_year(self.base, today.year), stated, today, floor, note)

    def read(self, path: Path, today: date | None = None) -> Case:
        """A floor from a case file.

        Raises:
            BadFile, BadCase: with every fault found.
        """
        today = today or date.today()
        return read_case(path, in_year(self.base, today.year), today)

    def advise(
        self, case: Case, today: date | None = None, certainty: bool = True, system: System | None = None
    ) -> Advice:
        """The whole answer.

        Args:
            case: the floor.
            today: the date to put on it.
            certainty: whether to look into how settled it is and how it fits money and days too, which takes as long
                again.
            system: the reader's units; else those of the country where the floor is.
        """
        from advisor.work.extent import BadJob
        from advisor.work.fit import study_fully

        today = today or date.today()
        with self._reader(case, system):
            if not certainty:
                return advise(self._on(today), case, today)
            try:
                return study_fully(self._on(today), case, today, system=system).advice
            except BadJob:  # no floor has such a size; the finish is chosen all the same
                return advise_fully(self._on(today), case, today)

    def tell(self, case: Case, today: date | None = None, full: bool = False, system: System | None = None) -> str:
        """The answer as text, 80 columns wide: on one screen, or in full.

        >>> adviser = load()
        >>> "STOP. Call a licensed plumber" in adviser.tell(adviser.case({"active_leak": "yes"}))
        True
        """
        from io import StringIO

        from rich.console import Console

        from advisor.pages.advice_report import advice_page
        from advisor.pages.short_answer import short_page
        from advisor.pages.text import print_page

        text = StringIO()
        with self._reader(case, system):
            advice = self.advise(case, today, system=system)
            print_page((advice_page if full else short_page)(advice), Console(file=text, width=80, color_system=None))
        return text.getvalue()

    def next_question(self, case: Case, today: date | None = None, system: System | None = None) -> Question | None:
        """The question that is worth most for its effort; none where it is time to stop."""
        from advisor.answer.judging import judge_of
        from advisor.asking.interview import Interview

        today = today or date.today()
        reasoner = self._on(today)
        interview = Interview(reasoner, judge_of(reasoner), today, case)
        try:
            with self._reader(case, system):
                return interview.next_question()
        finally:
            interview.close()

    def revise(
        self, case: Case, facts: Mapping[str, str], today: date | None = None, system: System | None = None
    ) -> Revision:
        """The answer anew with facts added, changed or (as `unknown`) withdrawn, and what that changes.

        Raises:
            BadCase: with every fault found.
        """
        from advisor.work.explained import revised_fully

        today = today or date.today()
        with self._reader(case, system):
            said = [f"{name}={each}" for name, each in facts.items()]
            return revised_fully(self._on(today), case, said, today)

    def why(
        self,
        case: Case,
        finish: str | None = None,
        level: Level = "paragraph",
        today: date | None = None,
        system: System | None = None,
    ) -> str:
        """The reasons of the answer, or of a finish's standing, in words.

        Raises:
            BadRequest: there is no such finish.
        """
        from advisor.work.explained import explained_fully
        from explanations.telling import tell

        today = today or date.today()
        with self._reader(case, system):
            told = explained_fully(self._on(today), case, today)
            return tell(told.graph, level, told.finish(finish) if finish else None)

    def turn(
        self, case: Case, finish: str | None = None, today: date | None = None, system: System | None = None
    ) -> Turning:
        """The smallest changes of facts that turn the answer, or that bring a finish back.

        Raises:
            BadCase: there is no such finish.
        """
        from advisor.asking.turning import would_turn

        today = today or date.today()
        with self._reader(case, system):
            return would_turn(self._on(today), case, finish, today=today)

    def take_off(
        self,
        case: Case,
        rooms: Iterable[str] = (),
        prices: Path | None = None,
        system: System | None = None,
        today: date | None = None,
    ) -> TakeOff:
        """Where materials, cost and days of a finish on this floor begin; `advisor.work` goes on from it.

        Args:
            case: the floor.
            rooms: texts such as `20 ft x 22 ft`, in place of the case's area.
            prices: the shop's own price book; else the shipped one, which is invented.
            system: the reader's units; else those of the country where the floor is.
            today: the date on the page; prices may not be dated later.

        Raises:
            BadJob, BadPriceBook: naming what is wrong.
        """
        from advisor.work.takeoff import begin

        today = today or date.today()
        return begin(self._on(today), case, today, rooms, prices=prices, system=system)


class Process(Contained):
    """An adviser in a process of its own: where the engine aborts, one call fails, and the next starts another."""

    def ask(self, call: Callable[Concatenate[Adviser, Given], Told], *given: Given.args, **named: Given.kwargs) -> Told:
        """Make a call of an adviser there.

        Raises:
            EngineFault: the process died in this call.
            AdvisorError: whatever the call itself refuses.

        >>> adviser = load()
        >>> with adviser.contained() as process:
        ...     process.ask(Adviser.why, adviser.case({"active_leak": "yes"}), level="sentence")[:19]
        'Before any finish, '
        """
        told: Told = self.run(_called, call, given, named)
        return told


def _called(
    call: Callable[Concatenate[Adviser, Given], Told], given: tuple[object, ...], named: Mapping[str, object]
) -> Told:
    return call(_adviser_here(), *given, **named)  # type: ignore[arg-type]  # as `ask` took them


@cache
def _adviser_here() -> Adviser:
    reasoner = reasoner_here()
    return Adviser(reasoner.base, reasoner.seed)


def survey_table(
    table: Path,
    out: Path,
    *overlays: Path,
    products: Sequence[Path] = (),
    today: date | None = None,
    prices: Path | None = None,
) -> Survey:
    """Advise on every row of a table; see `advisor.survey.survey` for pieces, workers and clusters.

    Args:
        table: floors, a row a floor.
        out: where the result goes; must not exist yet.
        overlays: folders laid over the shipped rules, the lowest first.
        products: makers' data sheets, each one finish more.
        today: the day to whose year ages are counted; the current one if not given.
        prices: the shop's own price book; else the shipped one, which is invented.

    Raises:
        BadTable: the table or the place for the result is not as it must be.
    """
    from advisor.survey.survey import Rules, survey

    rules = Rules(overlays, tuple(products), (today or date.today()).year)
    return survey(table, out, rules, prices=prices)
