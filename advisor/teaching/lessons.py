"""A lesson from any case: its facts come to light a few at a time, and each answer is checked against the rule base.

Nothing of a lesson is written down beforehand. What is right follows from reasoning about the floor as far as it is
known at that moment, so a lesson is as right as the rules, and changes with them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from copy import copy
from datetime import date
from random import Random

from advisor.answer.advising import answer_alone
from advisor.answer.judging import judge_of
from advisor.answer.kind_words import outlook
from advisor.answer.ranking import Recommendation
from advisor.asking.advice import advise
from advisor.asking.outlook import WORTH_ASKING, Outlook
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case, make_case
from advisor.facts.likelihoods import has_its_turn
from advisor.facts.memory import working_memory
from advisor.model.advice import Advice
from advisor.model.advice import Question as AskNext
from advisor.model.plain_words import conclusion_words
from advisor.model.standing import Reason
from advisor.model.values import Value
from advisor.teaching.closing import MindChange, hazards_of, mind_changes
from explanations.lessons import Mark, Question
from explanations.trace import Firing
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, sentence

OPENING = 4  # facts that are told at the start
AT_ONCE = 3  # facts that come to light together, at most, until something follows from them
A_SCREEN, LEADING = 40, 12  # more names than a screen holds are not offered whole: so many that lead, and what falls
ASKED_WELL = 0.5  # of what the best question settles for its effort: what settles as much is as right
TOLD_BRANCHES = 4  # answers to a question of which it is told what each would do
CHOICES = 4  # rules to choose from
WEIGHTY = ("rule_out", "hold", "refer", "first", "finding", "points")
ROUNDS = 6


class Lesson:
    """One lesson under way. Take a question with `questions`, answer it with `answer` before the next."""

    def __init__(self, reasoner: Reasoner, case: Case, rounds: int = ROUNDS, today: date | None = None) -> None:
        self.reasoner, self.base, self.case = reasoner, reasoner.base, case
        self.today = today or date.today()
        self.marks: list[Mark] = []
        self.stopped = False  # by the learner, before its end
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
        self._changes: dict[str, MindChange] = {}
        self._hazards: Mapping[str, str] = {}
        self._there: set[str] = set()
        self._weighed: tuple[Mapping[str, Value], Outlook] | None = None

    def _as_known(self) -> Case:
        """The floor as far as it is known."""
        said = {name: self.case.statement(name) for name in self._known}
        return make_case(self.base, said, self.today, self.case.floor, self.case.note)

    def _advice(self) -> Advice:
        return advise(self.reasoner, self._as_known(), self.today)

    @property
    def _outlook(self) -> Outlook:
        """What the floor as far as it is known may come to: by it a question is weighed, as `next` weighs it."""
        if self._weighed is None or self._weighed[0] != self._known:
            memory = working_memory(self.base, self._as_known().facts)
            self._weighed = dict(self._known), Outlook(judge_of(self.reasoner), memory)
        return self._weighed[1]

    def _worth(self) -> dict[str, float]:
        """What each open fact is worth asking for: bits that it settles, for its effort; what stops all, most."""
        look = self._outlook
        return {
            fact: math.inf if fact in look.stopping else settles / cost
            for fact, settles, cost in look.ranked()
            if (settles / cost >= WORTH_ASKING or fact in look.stopping)
            and fact not in self._not_known
            and has_its_turn(self.base, fact, look.memory)
        }

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
        changes = mind_changes(self.reasoner, self._as_known(), self._random)
        if changes:
            self._changes = dict(zip("abcdefgh", changes, strict=False))
            options = tuple((key, each.words) for key, each in self._changes.items())
            yield Question("turn", (), wording("lessons.turn.question"), options)
        self._hazards, self._there = hazards_of(self.base, self._now, self._random)
        if self._hazards:
            prompt = wording("lessons.hazard.question")
            yield Question("hazard", (), prompt, tuple(self._hazards.items()), several=True)

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
            "turn": self._check_turn,
            "hazard": self._check_hazard,
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
            return self._best_asked()
        if question.kind == "turn":
            return next(key for key, each in self._changes.items() if each.to)
        if question.kind == "hazard":
            return ", ".join(each for each in self._hazards if each in self._there) or wording("lessons.none")
        if question.kind == "fall":
            return ", ".join(self._fallen()) or wording("lessons.none")
        if question.kind == "conclude":
            fresh = {firing.rule for firing in self._fresh}
            return next(key for key, rule in self._options.items() if rule in fresh)
        return next(key for key, words in self._options.items() if words == self._now.answer.sentence)

    # ---- which fact to ask for next ------------------------------------------------------------------------

    def _best_asked(self) -> str:
        """The fact that is worth most asking for."""
        worth = self._worth()
        return max(worth, key=lambda each: worth[each]) if worth else self._asked[0].fact

    def _check_ask(self, said: str) -> Mark:
        name = said.lower().strip(" .").replace(" ", "_").replace("-", "_")
        waiting = {question.fact: question for question in self._asked}
        worth, best = self._worth(), self._best_asked()
        fact = label("fact", name)
        if name in self._known:
            points, lead = 0, wording("lessons.known_already", fact=fact)
        elif name in self._not_known:
            points, lead = 0, wording("lessons.not_known", fact=fact)
        elif name == best or worth.get(name, 0.0) >= ASKED_WELL * worth.get(best, math.inf) or self._turns(name):
            points, lead = 2, ""
        elif name in worth or name in waiting:
            points, lead = 1, wording("lessons.others_change_more", fact=fact)
        elif name in self.base.facts:
            points, lead = 0, wording("lessons.nothing_waits", fact=fact)
        else:
            points, lead = 0, wording("lessons.no_fact", name=said)
        self._wanted = name if points else ""
        told = name if points == 2 else best
        kind = self.base.facts[told]
        because = (lead, kind.why, *self._branches(told))
        return Mark(
            kind="ask",
            said=said,
            points=points,
            best=wording("lessons.ask_for", fact=best, ask=self.base.facts[best].ask or ""),
            because=" ".join(sentence(each) for each in because if each),
            rules=waiting[told].rules[:3] if told in waiting else (),
        )

    def _turns(self, fact: str) -> bool:
        """Whether what the customer would say to a question turns the answer at once."""
        if fact not in self._hidden:
            return False
        said = {name: self.case.statement(name) for name in (*self._known, fact)}
        case = make_case(self.base, said, self.today, self.case.floor, self.case.note)
        then, now = answer_alone(self.reasoner, case.facts)[0], self._now.answer
        return Recommendation.of(then.kind, then.leading) != Recommendation.of(now.kind, now.leading)

    def _branches(self, fact: str) -> Iterator[str]:
        """What each answer to a question would do, the likeliest first."""
        branches = self._outlook.branches(fact) if fact in self._outlook.undecided else ()
        for each in sorted(branches, key=lambda branch: -branch.share)[:TOLD_BRANCHES]:
            kind, finish = each.turns[0].recommendation
            then = outlook(kind, self.base.finishes[finish].name if finish else "")
            share = each.turns[0].share
            yield wording("lessons.would", answer=each.stretch, then=then, share=round(100 * share))

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
        left = [each.finish for each in self._before.standings if each.finish not in _out(self._before)]
        offered = {*left} if len(left) <= A_SCREEN else {*left[:LEADING], *self._fallen()}
        options = tuple((finish, each.name) for finish, each in self.base.finishes.items() if finish in offered)
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
        stops = [each.reasons[0] for each in self._now.stops] + [each.reasons[0] for each in self._now.holds]
        hangs_on: list[Reason] = [*self._now.bearing[:1], *stops]  # of "test first", why the test
        because, rule = (hangs_on[0].because, hangs_on[0].rule) if hangs_on else ("", "")
        return Mark(
            kind="answer",
            said=said,
            points=2 if right else 0,
            best=answer.sentence,
            because=because,
            rules=(rule,) if rule else (),
        )

    # ---- what would change it, and which hazards there are --------------------------------------------------

    def _check_turn(self, said: str) -> Mark:
        chosen = self._changes.get(said.strip(" .)").lower())
        best = next(each for each in self._changes.values() if each.to)
        wrong = wording("lessons.turns_nothing", what=chosen.words) if chosen and not chosen.to else ""
        because = wording("lessons.then", what=best.words, then=best.to)
        return Mark(
            kind="turn",
            said=said,
            points=2 if chosen == best else 0,
            best=best.words,
            because=" ".join(filter(None, (wrong, because))),
            rules=tuple(each.rule for each in self._now.bearing[:1]),
        )

    def _check_hazard(self, said: str) -> Mark:
        ids = {words.lower(): name for name, words in self._hazards.items()}
        typed = {name.strip().lower() for name in re.split(r"[,;]", said.strip(" .")) if name.strip()}
        names = {ids.get(name, name.replace(" ", "_")) for name in typed - {wording("lessons.none")}}
        right, whole = names & self._there, names == self._there
        shown = [each for each in self._now.hazards if each.caution in self._there]
        named = listed(self._hazards[each.caution] for each in shown) or wording("lessons.none")
        return Mark(
            kind="hazard",
            said=said,
            points=2 if whole else 1 if right and len(names) <= 2 * len(right) else 0,
            best=named,
            because=" ".join(sentence(first_sentence(each.says)) for each in shown),
            rules=tuple(dict.fromkeys(each.reasons[0].rule for each in shown if each.reasons)),
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
