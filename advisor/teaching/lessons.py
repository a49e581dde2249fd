"""A lesson from any case: its facts come to light a few at a time, and each answer is checked against the rule base.

Nothing of a lesson is written down beforehand. What is right follows from reasoning about the floor as far as it is
known at that moment, so a lesson is as right as the rules, and changes with them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from copy import copy
from datetime import date
from random import Random

from advisor.asking.advice import advise
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, make_case
from advisor.model.advice import Advice
from advisor.model.advice import Question as AskNext
from advisor.model.plain_words import conclusion_words
from advisor.model.values import Value
from explanations.lessons import Mark, Question
from explanations.trace import Firing
from explanations.wording import label, listed, wording
from explanations.words import sentence

OPENING = 4  # facts that are told at the start
AT_ONCE = 3  # facts that come to light together, at most, until something follows from them
ASKED_WELL = 5  # places in the list of what to ask next that count as right; an advice shows as many
CHOICES = 4  # rules to choose from
WEIGHTY = ("rule_out", "hold", "refer", "first", "finding", "points")
ROUNDS = 6


class Lesson:
    """One lesson under way. Take a question with `questions`, answer it with `answer` before the next."""

    def __init__(self, reasoner: Reasoner, case: Case, rounds: int = ROUNDS, today: date | None = None) -> None:
        self.reasoner, self.base, self.case = reasoner, reasoner.base, case
        self.today = today or date.today()
        self.marks: list[Mark] = []
        self._rounds = rounds
        self._random = Random(case.floor)  # the same case gives the same lesson
        given = [name for name in self.base.facts if name in case.facts and case.facts[name].known]
        self._hidden = {name: case.facts[name] for name in given[OPENING:]}
        self._known: dict[str, Value] = {name: case.facts[name] for name in given[:OPENING]}
        self.opening = wording("lessons.opening", facts=listed(_shown(self._known)))
        self._not_known: set[str] = set()  # facts asked for that the customer cannot tell
        self._before = self._advice()
        self._before_facts = dict(self._known)
        self._now = self._before
        self._told: tuple[str, ...] = ()
        self._wanted = ""
        self._fresh: list[Firing] = []
        self._options: dict[str, str] = {}

    def _advice(self) -> Advice:
        said = {name: self.case.statement(name) for name in self._known}
        known = make_case(self.base, said, self.today, self.case.floor, self.case.note)
        return advise(self.reasoner, known, self.today)

    @property
    def _asked(self) -> list[AskNext]:
        """What the rule base would ask for, less what the customer has said not to know."""
        return [question for question in self._now.ask_next if question.fact not in self._not_known]

    def questions(self) -> Iterator[Question]:
        """The questions in turn; each must be answered before the next is taken."""
        for _ in range(self._rounds):
            if not self._hidden or not self._asked:
                break
            self._wanted = ""
            yield Question("ask", (), wording("lessons.ask.question"))
            self._reveal()
            yield self._fall_question()
            self._fresh = self._new_firings()
            if self._fresh:
                yield self._conclude_question()
        told = self._reveal_all()
        yield Question("answer", told, wording("lessons.answer.question"), tuple(self._answer_options()))

    def answer(self, question: Question, said: str) -> Mark:
        """Check an answer against the rule base, and go on with it; the mark is kept."""
        mark = self.mark(question, said)
        self.marks.append(mark)
        return mark

    def mark(self, question: Question, said: str) -> Mark:
        """Check an answer to the question asked last; a class gives many of them."""
        check = {
            "ask": self._check_ask,
            "fall": self._check_fall,
            "conclude": self._check_conclude,
            "answer": self._check_answer,
        }
        return check[question.kind](" ".join(said.split()))

    def as_it_stands(self) -> Lesson:
        """A copy that goes on marking answers to this question, when the lesson itself has gone on."""
        same = copy(self)
        same._known, same._hidden = dict(self._known), dict(self._hidden)
        same._not_known, same.marks = set(self._not_known), list(self.marks)
        return same

    def model(self, question: Question) -> str:
        """An answer that is right, as a learner would type it."""
        if question.kind == "ask":
            return self._asked[0].fact
        if question.kind == "fall":
            return ", ".join(self._fallen()) or wording("lessons.none")
        if question.kind == "conclude":
            fresh = {firing.rule for firing in self._fresh}
            return next(key for key, rule in self._options.items() if rule in fresh)
        return next(key for key, words in self._options.items() if words == self._now.answer.sentence)

    # ---- which fact to ask for next ------------------------------------------------------------------------

    def _check_ask(self, said: str) -> Mark:
        name = said.lower().strip(" .").replace(" ", "_").replace("-", "_")
        waiting = {question.fact: question for question in self._asked}
        asked, best = list(waiting), self._asked[0]
        because = sentence(best.why)
        fact = label("fact", name)
        if name in self._known:
            points, lead = 0, wording("lessons.known_already", fact=fact)
        elif name in self._not_known:
            points, lead = 0, wording("lessons.not_known", fact=fact)
        elif name in asked[:ASKED_WELL]:
            points, lead = 2, ""
            because = sentence(self.base.facts[name].why)
        elif name in asked:
            points, lead = 1, wording("lessons.others_change_more", fact=fact)
        elif name in self.base.facts:
            points, lead = 0, wording("lessons.nothing_waits", fact=fact)
        else:
            points, lead = 0, wording("lessons.no_fact", name=said)
        self._wanted = name if points else ""
        rules = waiting[name].rules if points == 2 else best.rules
        best_words = wording("lessons.ask_for", fact=best.fact, ask=best.ask)
        said_of = f"{sentence(lead)} " if lead else ""
        return Mark(
            kind="ask", said=said, points=points, best=best_words, because=said_of + because, rules=tuple(rules[:3])
        )

    def _reveal(self) -> None:
        """Bring the fact asked for to light, if the customer knows it, and others until something follows."""
        self._before, self._before_facts = self._now, dict(self._known)
        order = [self._wanted] if self._wanted in self._hidden else []
        order += [question.fact for question in self._asked if question.fact in self._hidden]
        order += list(self._hidden)
        fresh: dict[str, Value] = {}
        for name in dict.fromkeys(order):
            fresh[name] = self._known[name] = self._hidden.pop(name)
            if len(fresh) < AT_ONCE:
                continue
            self._now = self._advice()
            if len(fresh) >= 2 * AT_ONCE or self._fallen() or self._new_firings():
                break
        self._now = self._advice()
        told = []
        if self._wanted and self._wanted not in self._known:
            self._not_known.add(self._wanted)
            told = [sentence(wording("lessons.not_known", fact=label("fact", self._wanted)))]
        self._told = (*told, wording("lessons.turns_out", facts=listed(_shown(fresh))))

    def _reveal_all(self) -> tuple[str, ...]:
        rest, self._hidden = self._hidden, {}
        if not rest:
            return ()
        self._known |= rest
        self._now = self._advice()
        return (wording("lessons.the_rest", facts=listed(_shown(rest))),)

    # ---- which finishes fall -------------------------------------------------------------------------------

    def _fallen(self) -> list[str]:
        """The finishes that are ruled out now and were not before."""
        before, now = (_out(each) for each in (self._before, self._now))
        return [finish for finish in self.base.finishes if finish in now - before]

    def _fall_question(self) -> Question:
        left = self.base.finishes.keys() - _out(self._before)
        options = tuple((finish, each.name) for finish, each in self.base.finishes.items() if finish in left)
        return Question("fall", self._told, wording("lessons.fall.question"), options, several=True)

    def _check_fall(self, said: str) -> Mark:
        ids = {each.name.lower(): finish for finish, each in self.base.finishes.items()}
        typed = {name.strip().lower() for name in re.split(r"[,;]", said.strip(" .")) if name.strip()} - {
            wording("lessons.none")
        }
        names = {ids.get(name, name.replace(" ", "_")) for name in typed}
        fallen = self._fallen()
        right = names & set(fallen)
        whole = names == set(fallen)
        points = 2 if whole else 1 if right and len(names) <= 2 * len(right) else 0
        by = {s.finish: s.ruled_out_by[0] for s in self._now.standings if s.finish in fallen}
        named = listed(self.base.finishes[finish].name for finish in fallen)
        best = wording("lessons.falls", n=len(fallen), names=named) if fallen else wording("lessons.none_falls")
        because = " ".join({by[finish].rule: by[finish].because for finish in reversed(fallen)}.values())
        rules = dict.fromkeys(by[finish].rule for finish in fallen if whole or finish not in names)
        return Mark(kind="fall", said=said, points=points, best=best, because=because, rules=tuple(rules))

    # ---- what follows, and by which rule -------------------------------------------------------------------

    def _new_firings(self) -> list[Firing]:
        """The firings that were not there before and conclude something new, weightiest first."""
        before = {(firing.rule, firing.finish) for firing in self._before.trace.firings}
        had = {(c.kind, c.name, c.finish) for firing in self._before.trace.firings for c in firing.conclusions}
        found = [
            firing
            for firing in self._now.trace.firings
            if firing.antecedents
            and (firing.rule, firing.finish) not in before
            and any(
                c.kind == "points" or (c.kind, c.name, c.finish) not in had
                for c in firing.conclusions
                if c.kind in WEIGHTY
            )
        ]
        return sorted(found, key=lambda firing: min(_weight(c.kind) for c in firing.conclusions))

    def _conclude_question(self) -> Question:
        fired = {firing.rule for firing in self._now.trace.firings}
        silent = sorted(
            name
            for name, rule in self.base.rules.items()
            if name not in fired and rule.when.keys() & self._known.keys() and any(True for _ in self._concludes(name))
        )
        topic = self._fresh[0].topic
        near = [name for name in silent if self.base.rules[name].topic == topic]
        pool = near if len(near) >= CHOICES - 1 else silent
        chosen = [self._fresh[0].rule, *self._random.sample(pool, min(CHOICES - 1, len(pool)))]
        self._random.shuffle(chosen)
        self._options = dict(zip("abcdefgh", chosen, strict=False))
        words = tuple((key, f"{listed(self._concludes(rule))} [{rule}]") for key, rule in self._options.items())
        return Question("conclude", (), wording("lessons.conclude.question"), words)

    def _concludes(self, rule: str) -> Iterator[str]:
        for kind, _, words in conclusion_words(self.base, self.base.rules[rule], in_short=True):
            if kind in WEIGHTY:
                yield words

    def _check_conclude(self, said: str) -> Mark:
        rule = self._options.get(said.strip(" .)").lower(), said.strip(" ."))
        firings = {firing.rule: firing for firing in reversed(self._fresh)}
        best = self._fresh[0]
        shown = firings.get(rule, best)
        return Mark(
            kind="conclude",
            said=said,
            points=2 if rule in firings else 0,
            best=wording("lessons.fires", rule=best.rule),
            because=shown.because,
            rules=(shown.rule,),
        )

    # ---- what the answer is --------------------------------------------------------------------------------

    def _answer_options(self) -> Iterator[tuple[str, str]]:
        names = [each.name for each in self._now.standings if each.finish != self._now.answer.leading]
        kinds = (self._now.answer.sentence, self._before.answer.sentence, *(sentence(name) for name in names))
        chosen = list(dict.fromkeys(kinds))[:CHOICES]
        self._random.shuffle(chosen)
        self._options = dict(zip("abcdefgh", chosen, strict=False))
        yield from self._options.items()

    def _check_answer(self, said: str) -> Mark:
        answer = self._now.answer
        chosen = self._options.get(said.strip(" .)").lower(), said)
        name = self.base.finishes[answer.leading].name if answer.leading else ""
        right = chosen == answer.sentence or (answer.kind == "finish" and chosen.strip(". ").lower() == name.lower())
        best = [each for each in self._now.standings if each.finish == answer.leading]
        why = max(best[0].points, key=lambda p: p.weighted) if best and best[0].points else None
        stops = [each.reasons[0] for each in self._now.stops] + [each.reasons[0] for each in self._now.holds]
        because, rule = (stops[0].because, stops[0].rule) if stops else (why.because, why.rule) if why else ("", "")
        return Mark(
            kind="answer",
            said=said,
            points=2 if right else 0,
            best=answer.sentence,
            because=because,
            rules=(rule,) if rule else (),
        )


def _shown(facts: Mapping[str, Value]) -> list[str]:
    return [wording("lessons.fact", fact=label("fact", name), value=value.shown) for name, value in facts.items()]


def _out(advice: Advice) -> set[str]:
    return {standing.finish for standing in advice.standings if standing.verdict == "ruled out"}


def _weight(kind: str) -> int:
    return WEIGHTY.index(kind) if kind in WEIGHTY else len(WEIGHTY)


def played(lesson: Lesson) -> tuple[list[Question], list[Mark]]:
    """A lesson answered rightly throughout, for the printed sheet: its questions and the answers."""
    questions = []
    for question in lesson.questions():
        questions.append(question)
        lesson.answer(question, lesson.model(question))
    return questions, lesson.marks
