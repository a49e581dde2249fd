"""The interview as a conversation over lines of text: works at a terminal, in a pipe, narrow and without colour."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable
from pathlib import Path

from advisor.asking.answer_words import effects_told, step_told
from advisor.asking.interview import Interview, Step
from advisor.asking.next_words import settled_told, stop_told
from advisor.asking.outlook import Question
from advisor.asking.outlook_words import turns_told
from advisor.asking.typed_answers import read_answer
from advisor.errors import AdvisorError, BadCase, Fault, nearest
from advisor.facts.case import Case, describe_allowed
from advisor.facts.case_file import save_case
from advisor.model.knowledge import FactKind
from explanations.reading import theirs
from explanations.words import counted, listing, sentence, visible

NARROWEST, WIDEST = 24, 79
MOST_NAMED = 6  # facts offered for a word that fits several
HELP = """\
- An answer is a number from the list, the word itself, or a figure with its unit; a range is `80 to 85 %`.
- A test may carry its date and who did it: `88 % on 2026-11-02 by testing firm`.
- don't know (or: dk): leave it open; that is a full answer, and it is not asked again.
- why: why this is asked, how to find out, and what each answer would do.
- back: take the last answer back, or leave a question that you chose with `change`.
- change FACT [VALUE]: answer another fact, or answer one anew; a word of its question will do.
- facts: what was said so far.
- save [FILE]: save and go on.
- later: save and stop. Ctrl-C does the same.
- done: stop asking, save, and give the advice now."""


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
        self._kept: Case | None = None

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
        self.say("Answer, or: don't know, why, back, change FACT, facts, save, later, done; ? shows what they mean.")
        wanted: str | None = None
        while True:
            wanted = wanted or self.interview.opening
            question = self.interview.next_question()
            fact = wanted or (question.fact if question else None)
            outcome = self._ask(fact, question if question and question.fact == fact else None)
            if outcome in ("done", "later"):
                return outcome == "done"
            wanted = outcome or None

    def _ask(self, fact: str | None, question: Question | None, chosen: bool = False) -> str:
        """Ask for one fact until something comes of it: "", "done", "later", or the fact to ask for next.

        Args:
            fact: the fact; none where nothing is left to ask, and the answer may still be changed.
            question: what its answers would do, where that was worked out.
            chosen: whether the customer asked for it, and may leave it.
        """
        kind = self.base.facts[fact] if fact else None
        self.say("")
        if kind:
            self.say(f"{kind.ask} [{fact}]")
            self._choices(kind)
        else:
            self._explain_the_end()
        while True:
            line = self.read()
            if line is None:
                return self._ended()
            text = " ".join(line.split())
            word, _, rest = text.partition(" ")
            match word.lower():
                case "" if kind:
                    self.say("Type an answer, or `don't know`; `?` shows the rest.", 2)
                case "" | "done":
                    return "done"
                case "help" | "?":
                    self.say(HELP, 2)
                case "why" if kind:
                    self._why(kind, question)
                case "facts":
                    self._facts()
                case "save":
                    self.save(Path(rest) if rest else self.path)
                case "later" | "quit" | "exit":
                    if self.save():
                        return "later"
                    self.say("Nothing is lost yet: `save FILE` saves it elsewhere.", 2)
                case "back" if chosen:
                    return ""
                case "back":
                    if (earlier := self._back()) is not None:
                        return earlier
                case "change":
                    if (outcome := self._change(rest)) is not None:
                        return outcome
                case _ if fact and kind:
                    if self._answered(fact, kind, text):
                        return ""
                case _:
                    self.say("Nothing is asked now. Enter gives the advice; `change FACT` answers a fact anew.", 2)

    def _ended(self) -> str:
        """The lines ended: the advice for what was said, or what was known is saved."""
        if self.interview.case.stated:
            self.say("The input ended. The advice for what was said so far follows.", 2)
            return "done"
        self.say("The input ended before anything was answered, so there is no advice.", 2)
        self.save()
        return "later"

    def _answered(self, fact: str, kind: FactKind, text: str) -> bool:
        try:
            step = self.interview.answer(fact, read_answer(fact, kind, text, self.interview.today))
        except BadCase as error:
            return self._refused(error)
        self._show(step)
        return True

    def _refused(self, error: AdvisorError) -> bool:
        for fault in error.faults:
            self.say(fault.what if fault.what.endswith((".", "?")) else f"{fault.what}.", 2)
            for more in (f"Allowed: {fault.allowed}" if fault.allowed else "", fault.remedy):
                if more:
                    self.say(more, 4)
        return False

    def _choices(self, kind: FactKind) -> None:
        if kind.type == "number":
            self.say(describe_allowed(kind), 4)
        elif kind.type == "yes/no":
            self.say("yes or no", 4)
        elif kind.values_from:
            names = (f"{place} {each.name}" for place, each in enumerate(self.base.finishes.values(), start=1))
            self.say("; ".join(names), 4)
        else:
            for place, value in enumerate(kind.choices, start=1):
                self.say(f"{place} {value.replace('_', ' ')}", 4)

    def _why(self, kind: FactKind, question: Question | None) -> None:
        self.say(sentence(kind.why), 2)
        self.say(f"How to find out: {kind.find_out}", 2)
        if question:
            self.say("What the answer would do, at once and by what is usual in the end:", 2)
            for line in effects_told(self.base, self.interview.outlook, self.interview.effects(question)):
                self.say(line, 4)

    def _facts(self) -> None:
        for name, statement in self.interview.case.stated.items():
            source = f" ({statement.source})" if statement.source else ""
            self.say(f"{name}: {statement.text}{source}", 4)
        if not self.interview.case.stated:
            self.say("Nothing yet.", 4)

    def _back(self) -> str | None:
        """The fact to ask for again, "" where what was said before holds again, or None where there is no way back."""
        undone = self.interview.undo()
        if undone is None:
            self.say("Nothing was answered here yet, so there is nothing to take back.", 2)
            return None
        fact, step = undone
        before = self.interview.case.stated.get(fact)
        self.say(f"{fact} is {before.text} again." if before else f"Took back what was said of {fact}.", 2)
        self._show(step)
        return "" if before else fact

    def _change(self, rest: str) -> str | None:
        name, _, text = rest.replace("=", " ").replace(":", " ").partition(" ")
        fitting = self._facts_named(name)
        if len(fitting) != 1:
            self._which(name, fitting)
            return None
        (fact,) = fitting
        kind = self.base.facts[fact]
        if not text:
            return self._ask(fact, None, chosen=True)
        return "" if self._answered(fact, kind, text) else None

    def _facts_named(self, word: str) -> list[str]:
        """The facts that a person may mean by a word: of that name, or with the word in the name or the question."""
        asked = {name: kind for name, kind in self.base.facts.items() if kind.ask}
        if word in asked or not word:
            return [word] if word else []
        named = [name for name in asked if word.lower() in name]
        return named or [name for name, kind in asked.items() if word.lower() in str(kind.ask).lower()]

    def _which(self, word: str, fitting: list[str]) -> None:
        if not word:
            self.say("Change which fact? Its name stands in brackets after the question; `facts` lists yours.", 2)
        elif fitting:
            self.say(f'"{word}" may mean: {listing(fitting[:MOST_NAMED], "or")}.', 2)
        else:
            unknown_fact = Fault("", f'I do not know the fact "{word}"', remedy=nearest(word, self.base.facts))
            self._refused(BadCase([unknown_fact]))

    def _show(self, step: Step) -> None:
        """What fell and what stands."""
        for line in step_told(self.base, step):
            self.say(line, 2)
        look = self.interview.outlook
        likely = "; ".join(turns_told(self.base, look.turns[:2]))
        finishes = counted(len(self.base.finishes), "finish", "finishes")
        self.say(f"Stands: {step.left} of {finishes}. So far {likely}.", 2)

    def _explain_the_end(self) -> None:
        """Why nothing more is asked."""
        for line in settled_told(self.interview):
            self.say(line)
        if not self.interview.certainty.settled:
            self.say(stop_told(self.interview), 2)
        self.say("Enter gives the advice; back, change FACT, facts and save still work.")

    def save(self, path: Path | None = None) -> bool:
        """Write the case file, whole or not at all, and say where; a place that works is kept for the next time."""
        path = path or self.path
        try:
            save_case(self.interview.case, path)
        except AdvisorError as error:
            self._refused(error)
            return False
        self.path, self._kept = path, self.interview.case
        self.say(f"Saved in {path}. Go on with: advisor interview {path}", 2)
        return True


def wrapped(line: str) -> str:
    """A line folded to the terminal, what follows indented two further."""
    width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns - 1))
    text = line.lstrip()
    blank = line[: len(line) - len(text)]
    kept = theirs(text).replace(" %", "\u00a0%")  # a figure and its sign stay together
    folded = textwrap.fill(kept, width, initial_indent=blank, subsequent_indent=blank + "  ", break_on_hyphens=False)
    return folded.replace("\u00a0%", " %")
