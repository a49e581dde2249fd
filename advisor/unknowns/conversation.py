"""The interview as a conversation over lines of text: works at a terminal, in a pipe, narrow and without colour."""

from __future__ import annotations

import re
import shutil
import textwrap
from collections.abc import Callable
from datetime import date
from pathlib import Path

from advisor.errors import AdvisorError, BadCase, Fault, nearest
from advisor.facts.case import describe_allowed
from advisor.facts.case_file import save_case
from advisor.facts.statements import Statement, read_date
from advisor.rulebase.knowledge import UNKNOWN, FactKind
from advisor.unknowns.interview import Interview, Step
from advisor.unknowns.outlook import Question
from advisor.unknowns.outlook_words import branches_told, step_told, turns_told, verdict_told
from explanations.words import counted, sentence

NARROWEST, WIDEST = 24, 79
DONT_KNOW = {"?", "unknown", "don't know", "dont know", "do not know", "no idea", "dk", "i don't know", "not sure"}
HELP = """\
An answer: a number from the list, the word itself, or a figure with its unit; a range is `80 to 85 %`.
A test may carry its date and who did it: `88 % on 2026-11-02 by testing firm`.
don't know  leave it open (also: ?)     why   why this is asked, and what each answer would do
back        take the last answer back   change FACT [VALUE]   answer another fact, or answer it anew
facts       what was said so far        save [FILE]   save and go on
later       save and stop               done  stop asking and give the advice now"""


class Conversation:
    """One interview held over a reader and a writer of lines."""

    def __init__(self, interview: Interview, path: Path, read: Callable[[], str | None], write: Callable[[str], None]):
        """Hold an interview.

        Args:
            interview: the case in the making.
            path: where it is saved.
            read: gives the next line, or None at the end.
            write: takes a line.
        """
        self.interview, self.path, self.base = interview, path, interview.base
        self.read, self._write = read, write

    def say(self, text: str, indent: int = 0) -> None:
        """Write a text, wrapped to the terminal."""
        for line in text.splitlines() or [""]:
            self._write(wrapped(" " * indent + line))

    def run(self) -> bool:
        """Ask until it is time to stop. True: give the advice; False: to be gone on with later."""
        self.say("Answer, or: don't know, why, back, change FACT, facts, save, later, done, help.")
        wanted: str | None = None
        while True:
            question = self.interview.next_question()
            fact = wanted or (question.fact if question else None)
            if fact is None:
                self._explain_the_end()
                return True
            outcome = self._ask(fact, question if question and question.fact == fact else None)
            if outcome in ("done", "later"):
                return outcome == "done"
            wanted = outcome or None

    def _ask(self, fact: str, question: Question | None) -> str:
        """Ask for one fact until something comes of it: "", "done", "later", or the fact to ask for next."""
        kind = self.base.facts[fact]
        self.say("")
        self.say(f"{kind.ask} [{fact}]")
        self._choices(kind)
        while True:
            line = self.read()
            if line is None:
                return "done" if self.interview.asked else "later"
            text = " ".join(line.split())
            word, _, rest = text.partition(" ")
            match word.lower():
                case "":
                    self.say("Type an answer, or `don't know`; `help` shows the rest.", 2)
                case "help":
                    self.say(HELP, 2)
                case "why":
                    self._why(kind, question)
                case "facts":
                    self._facts()
                case "save":
                    self.path = Path(rest) if rest else self.path
                    self.save()
                case "later" | "quit" | "exit":
                    self.save()
                    return "later"
                case "done":
                    return "done"
                case "back":
                    if earlier := self._back():
                        return earlier
                case "change":
                    if (chosen := self._change(rest)) is not None:
                        return chosen
                case _:
                    if self._answered(fact, kind, text):
                        return ""

    def _answered(self, fact: str, kind: FactKind, text: str) -> bool:
        if text.lower() in DONT_KNOW:
            statement = Statement(UNKNOWN)
        else:
            try:
                statement = read_answer(fact, kind, text, self.interview.today)
            except BadCase as error:
                return self._refused(error)
        try:
            step = self.interview.answer(fact, statement)
        except BadCase as error:
            return self._refused(error)
        self._show(step)
        return True

    def _refused(self, error: AdvisorError) -> bool:
        for fault in error.faults:
            self.say(sentence(fault.what), 2)
            for more in (f"Allowed: {fault.allowed}" if fault.allowed else "", fault.remedy):
                if more:
                    self.say(more, 4)
        return False

    def _choices(self, kind: FactKind) -> None:
        if kind.type == "number":
            self.say(describe_allowed(kind), 4)
        elif kind.type == "yes/no":
            self.say("yes or no", 4)
        else:
            for place, value in enumerate(kind.choices, start=1):
                self.say(f"{place} {value.replace('_', ' ')}", 4)

    def _why(self, kind: FactKind, question: Question | None) -> None:
        self.say(sentence(kind.why), 2)
        self.say(f"How to find out: {kind.find_out}", 2)
        if question:
            self.say("What the answer would do, by what is usual:", 2)
            for line in branches_told(self.base, question):
                self.say(line, 4)

    def _facts(self) -> None:
        for name, statement in self.interview.case.stated.items():
            source = f" ({statement.source})" if statement.source else ""
            self.say(f"{name}: {statement.text}{source}", 4)
        if not self.interview.case.stated:
            self.say("Nothing yet.", 4)

    def _back(self) -> str | None:
        if not self.interview.asked:
            self.say("This is the first question.", 2)
            return None
        fact = self.interview.asked[-1]
        self._show(self.interview.take_back(fact))
        return fact

    def _change(self, rest: str) -> str | None:
        name, _, text = rest.replace("=", " ").replace(":", " ").partition(" ")
        kind = self.base.facts.get(name)
        if kind is None or not kind.ask:
            hint = nearest(name, self.base.facts)
            self._refused(BadCase([Fault("", f'I do not know the fact "{name}"', remedy=hint or "See: facts")]))
            return None
        if not text:
            return name
        return "" if self._answered(name, kind, text) else None

    def _show(self, step: Step) -> None:
        """What fell and what stands."""
        for line in step_told(self.base, step):
            self.say(line, 2)
        look = self.interview.outlook
        likely = "; ".join(turns_told(self.base, look.turns[:2]))
        finishes = counted(len(self.base.finishes), "finish", "finishes")
        self.say(f"Stands: {step.left} of {finishes}. So far {likely}.", 2)

    def _explain_the_end(self) -> None:
        interview = self.interview
        self.say("")
        look, verdict = interview.outlook, interview.verdict()
        told = verdict_told(self.base, verdict, look.turns, len(look.undecided))
        self.say(told if told.endswith(".") else f"{told}:")
        if not verdict.recommendation:
            for line in turns_told(self.base, look.turns):
                self.say(line, 2)
            declined = [name for name, _, _ in look.ranked() if name in interview.declined]
            if declined:
                self.say(f"What you do not know would settle it: {', '.join(declined[:3])}.", 2)
            else:
                self.say("No further question is expected to settle more than it costs, so I stop asking.", 2)

    def save(self) -> bool:
        """Write the case file, whole or not at all, and say where."""
        try:
            save_case(self.interview.case, self.path)
        except AdvisorError as error:
            self._refused(error)
            return False
        self.say(f"Saved in {self.path}. Go on with: advisor interview {self.path}", 2)
        return True


def wrapped(line: str) -> str:
    """A line folded to the terminal, what follows indented two further."""
    width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns - 1))
    text = line.lstrip()
    blank = line[: len(line) - len(text)]
    return textwrap.fill(text, width, initial_indent=blank, subsequent_indent=blank + "  ")


def read_answer(fact: str, kind: FactKind, text: str, today: date) -> Statement:
    """An answer as typed: a place in the list, a short yes or no, with `on DATE` and `by NAME` after it.

    Raises:
        BadCase: the date is none.
    """
    match = re.fullmatch(r"(?P<is>.+?)(?:\s+on\s+(?P<on>\S+))?(?:\s+by\s+(?P<by>.{1,80}))?", text)
    assert match is not None
    value, on, by = match["is"].strip(), match["on"], match["by"] or ""
    if kind.type == "yes/no":
        value = {"y": "yes", "n": "no"}.get(value.lower(), value)
    elif kind.type != "number" and value.isdigit() and 1 <= int(value) <= len(kind.choices):
        value = kind.choices[int(value) - 1]
    return Statement(value, read_date(fact, on, fact, today), by)
