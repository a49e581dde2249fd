"""The interview as a conversation over lines of text: works at a terminal, in a pipe, narrow and without colour."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from advisor.asking.answer_words import effects_told, step_told
from advisor.asking.interview import OPENING, Interview, Step, Upcoming
from advisor.asking.next_words import settled_told
from advisor.asking.opening import hints_of, left_out, taken_for
from advisor.asking.outlook import Question
from advisor.asking.outlook_words import clause, turns_told
from advisor.asking.screens import Screen, screen_of
from advisor.asking.typed_short import named
from advisor.errors import AdvisorError, BadCase, BadFile, Fault, nearest
from advisor.facts.case import Case
from advisor.facts.case_file import case_text, save_case
from advisor.model.entry import UNKNOWN
from advisor.model.reader import reading_of
from advisor.model.values import Value
from advisor.model.vocabulary import FactKind
from explanations.reading import measuring, theirs
from explanations.wording import has_text, label, listed, wording
from explanations.words import in_short, sentence, visible

NARROWEST, WIDEST = 24, 79
MOST_NAMED = 6  # facts offered for a word that fits several


class Conversation:
    """One interview held over a reader and a writer of lines."""

    def __init__(
        self,
        interview: Interview,
        path: Path,
        read: Callable[[], str | None],
        write: Callable[[str], None],
        like: Path | None = None,
    ):
        """Hold an interview.

        Args:
            interview: the case in the making.
            path: where it is saved.
            read: gives the next line, or None at the end.
            write: takes a line.
            like: the case that it goes on from, whose mode a new file gets.
        """
        self.interview, self.path, self.base = interview, path, interview.base
        self.read, self._write, self._like = read, write, like
        self._kept: Case | None = None
        self._there = _content(path)

    @property
    def saved(self) -> bool:
        """Whether the case as it stands has been saved."""
        return self._kept is self.interview.case

    def say(self, text: str, indent: int = 0) -> None:
        """Write a text, wrapped to the terminal."""
        for line in text.split("\n"):
            self._write(wrapped(" " * indent + visible(line)))

    def run(self) -> bool:
        """Ask until it is time to stop. True: give the advice; False: to be gone on with later."""
        self.say(wording("interview.greeting"))
        if self.interview.case.stated:
            self.say(wording("interview.goes_on"))
            with measuring(reading_of(self.base, self.interview.case.facts)):
                self._facts()
        wanted = ""
        while True:
            with measuring(reading_of(self.base, self.interview.case.facts)):
                screen = self._screen(wanted) if wanted else self._upcoming()
                outcome = self._ask(screen)
            if outcome in ("done", "later"):
                return outcome == "done"
            wanted = outcome or (self._once_more(screen.asked) if screen and not wanted else "")

    def _once_more(self, asked: str) -> str:
        """The question just answered, where it was answered in part; else nothing."""
        opening = self.base.conversation.get(asked.removeprefix(OPENING))
        answered = opening and self.interview.asked[-1:] == (asked,)
        return asked if opening and answered and left_out(opening, self.interview.case.stated) else ""

    def _upcoming(self) -> Screen | None:
        """The question that comes next; none at the end, which is explained."""
        coming = self.interview.upcoming()
        if coming.ends:
            self._explain_the_end(coming)
        elif coming.opening:
            return self._screen(OPENING + coming.opening)
        elif coming.question:
            return self._screen(coming.question.fact, coming.question)
        return None

    def _screen(self, asked: str, question: Question | None = None) -> Screen:
        return screen_of(self.interview, asked, question)

    def _ask(self, screen: Screen | None, chosen: bool = False) -> str:
        """Ask until something comes of it: "", "done", "later", or what to ask for next.

        Args:
            screen: the question; none where nothing is left to ask, and the answer may still be changed.
            chosen: whether the customer asked for it, and may leave it.
        """
        if screen:
            self.say("")
            self.say(screen.ask)
            for choice in _choices(screen):
                self.say(choice, 4)
            self.say(wording("interview.why", why=screen.why), 2)
        while True:
            line = self.read()
            if line is None:
                return self._ended()
            text = " ".join(line.split())
            word, _, rest = text.partition(" ")
            match word.lower():
                case "" if screen:
                    self.say(wording("interview.type"), 2)
                case "" | "done":
                    return "done"
                case "help" | "?":
                    if screen and screen.find_out:
                        self.say(wording("interview.find_out", how=screen.find_out), 2)
                    self.say(wording("interview.help"), 2)
                case "why" if screen:
                    self._why(screen)
                case "facts":
                    self._facts()
                case "save":
                    self.save(Path(rest) if rest else self.path)
                case "later" | "quit" | "exit":
                    if self.save():
                        return "later"
                    self.say(wording("interview.not_saved"), 2)
                case "back" if chosen:
                    return ""
                case "back":
                    if (earlier := self._back()) is not None:
                        return earlier
                case "change":
                    if (outcome := self._change(rest)) is not None:
                        return outcome
                case _ if screen:
                    if self._answered(screen, text):
                        return ""
                case _:
                    self.say(wording("interview.nothing_asked"), 2)

    def _ended(self) -> str:
        """The lines ended: the advice for what was said, or what was known is saved."""
        if self.interview.case.stated:
            self.say(wording("interview.ended"), 2)
            return "done"
        self.say(wording("interview.ended_unanswered"), 2)
        self.save()
        return "later"

    def _answered(self, screen: Screen, text: str) -> bool:
        try:
            step = self.interview.tell(screen.asked, screen.reads(text))
        except BadCase as error:
            taken, missed = screen.in_part(text)
            if not taken or not missed:
                return self._refused(error, screen)
            if not self._answered(screen, taken):
                return False
            self.say(wording("interview.not_taken", pieces=listed(f'"{in_short(each)}"' for each in missed)), 2)
            return True
        with suppress(AdvisorError):  # whatever happens, nothing is lost; if it cannot be written, the end says so
            self._put(self.path)
        if screen.asked.startswith(OPENING):
            opening = self.base.conversation[screen.asked.removeprefix(OPENING)]
            for says in taken_for(opening, text):
                self.say(wording("interview.taken_for", says=says), 2)
        self._show(step, brief=screen.asked.startswith(OPENING))
        return True

    def _refused(self, error: AdvisorError, screen: Screen | None = None) -> bool:
        """Say what is wrong, by the answers that were offered, if any were."""
        offered = "; ".join(choice.strip() for choice in _choices(screen)) if screen and screen.choices else ""
        for fault in error.faults:
            what = fault.plain if screen and fault.plain else fault.what
            self.say(what if what.endswith((".", "?")) else f"{what}.", 2)
            allowed = offered if screen and fault.plain and offered else fault.allowed
            for more in (wording("errors.allowed", what=allowed) if allowed else "", fault.remedy):
                if more:
                    self.say(more, 4)
        return False

    def _why(self, screen: Screen) -> None:
        self.say(sentence(screen.why), 2)
        if screen.find_out:
            self.say(wording("interview.find_out", how=screen.find_out), 2)
        if screen.question:
            self.say(wording("interview.would_do"), 2)
            effects = self.interview.effects(screen.question)
            for line in effects_told(self.base, self.interview.outlook, effects):
                self.say(line, 4)

    def _facts(self) -> None:
        stated = self.interview.case.stated
        if not stated:
            self.say(wording("interview.nothing_yet"), 4)
        for name, statement in stated.items():
            if statement.text.lower() != UNKNOWN:
                source = f" ({statement.source})" if statement.source else ""
                read = self.interview.case.outdated.get(name) or self.interview.case.as_read[name]
                self.say(f"{_said(self.base.facts[name], name, read)}{source}", 4)
        if left := [label("fact", name) for name, each in stated.items() if each.text.lower() == UNKNOWN]:
            self.say(wording("interview.unknown", facts=", ".join(left)), 4)

    def _back(self) -> str | None:
        """The fact to ask for again, "" where what was said before holds again, or None where there is no way back."""
        undone = self.interview.undo()
        if undone is None:
            self.say(wording("interview.nothing_back"), 2)
            return None
        asked, step = undone
        before = self.interview.case.stated.get(asked)
        name = "" if asked.startswith(OPENING) else label("fact", asked)
        key = "interview.again" if before else "interview.taken_back"
        self.say(wording(key, name=name, value=before.text if before else ""), 2)
        self._show(step)
        return "" if before else asked

    def _change(self, rest: str) -> str | None:
        name, _, text = rest.replace("=", " ").replace(":", " ").partition(" ")
        fitting = self._facts_named(name)
        if len(fitting) != 1:
            self._which(name, fitting)
            return None
        screen = self._screen(fitting[0])
        if not text:
            return self._ask(screen, chosen=True)
        return "" if self._answered(screen, text) else None

    def _facts_named(self, word: str) -> list[str]:
        """The facts that a person may mean by a word: as at the counter, else those with the word in their question."""
        asking = (
            name for name, kind in self.base.facts.items() if word and word.lower() in str(kind.ask or "").lower()
        )
        return named(self.base, word) or list(asking)

    def _which(self, word: str, fitting: list[str]) -> None:
        if not word:
            self.say(wording("interview.change_which"), 2)
        elif fitting:
            self.say(wording("interview.may_mean", word=word, facts=listed(fitting[:MOST_NAMED], "or")), 2)
        else:
            unknown_fact = Fault("", wording("facts.no_fact", name=word), remedy=nearest(word, self.base.facts))
            self._refused(BadCase([unknown_fact]))

    def _show(self, step: Step, brief: bool = False) -> None:
        """What fell and what stands; in brief only what stops, what is doubted, and what stands."""
        if brief:
            step = replace(step, fell=(), came_back=())
        for line in step_told(self.base, step):
            self.say(line, 2)
        look = self.interview.outlook
        likely = "; ".join(turns_told(self.base, look.turns[:2]))
        self.say(wording("interview.stands", left=step.left, n=len(self.base.finishes), likely=likely), 2)

    def _explain_the_end(self, coming: Upcoming) -> None:
        """What was understood, why nothing more is asked, and what one thing would help most."""
        self.say("")
        self.say(wording("interview.understood"))
        self._facts()
        self.say("")
        kind = self.base.facts[coming.question.fact] if coming.question else None
        ask, how = (kind.ask or "", kind.find_out) if kind else ("", "")
        self.say(wording(f"interview.ends.{coming.ends}", ask=ask, how=how))
        for line in settled_told(self.interview.advice().opening, self.interview.outlook, self.interview.certainty):
            self.say(line)
        if kind and coming.ends in ("declined", "costs"):
            self.say(wording("interview.helps", ask=ask, how=how))
        for hint in hints_of(self.base, self.interview.case.as_read):
            self.say(f"{hint} {self.path}")
        self.say(wording("interview.offer"))

    def save(self, path: Path | None = None) -> bool:
        """Write the case file, whole or not at all, and say where; a place that works is kept for the next time."""
        path = path or self.path
        try:
            self._put(path)
        except AdvisorError as error:
            self._refused(error)
            return False
        self._kept = self.interview.case
        self.say(wording("interview.saved", path=path), 2)
        return True

    def _put(self, path: Path) -> None:
        """Write the case file; where another interview wrote to it meanwhile, its answers stay.

        Raises:
            BadFile: that, or it cannot be written.
        """
        if path == self.path and _content(path) != self._there:
            raise BadFile([Fault(str(path), wording("interview.changed"), remedy=wording("facts.name_another"))])
        save_case(self.interview.case, path, self._like)
        self.path, self._there = path, _content(path)

    def keep(self) -> None:
        """Save what was not saved yet; what no file takes is told in full, so that it can be copied."""
        if not self.saved and not self.save():
            self.say(wording("interview.copy"), 2)
            self._write(case_text(self.interview.case))


def _said(kind: FactKind, name: str, read: Value) -> str:
    """What was understood of a fact: in a clause where there is one for such a value, else by its name."""
    if kind.choices and has_text(f"clauses.{name}"):
        return clause(kind, name, label("value", read.choice), (read.choice,))
    value = label("value", read.choice) if kind.choices else read.shown
    return wording("interview.said", fact=label("fact", name), value=value)


def _content(path: Path) -> bytes | None:
    """What a file holds; nothing where there is none that can be read."""
    try:
        return path.read_bytes()
    except OSError:
        return None


def _choices(screen: Screen) -> Iterator[str]:
    """The likely answers and what else an answer may be, a line each."""
    if screen.kind and screen.kind.type == "number":
        yield screen.allowed
    elif screen.kind and screen.kind.type == "yes/no":
        yield wording("interview.yes_or_no")
    else:
        told = [wording("interview.also", place=place, says=each.says) for place, each in enumerate(screen.choices, 1)]
        yield from ["; ".join(told)] if screen.kind and screen.kind.values_from else told
    if screen.several:
        yield wording("interview.several")
    if screen.example:
        yield wording("interview.example", example=screen.example)


def wrapped(line: str) -> str:
    """A line folded to the terminal, what follows indented two further."""
    width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns - 1))
    text = line.lstrip()
    blank = line[: len(line) - len(text)]
    kept = theirs(text).replace(" %", "\u00a0%")  # a figure and its sign stay together
    folded = textwrap.fill(kept, width, initial_indent=blank, subsequent_indent=blank + "  ", break_on_hyphens=False)
    return folded.replace("\u00a0%", " %")
