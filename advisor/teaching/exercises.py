"""What a lesson asks, kind by kind: the question, an answer that is right, and what any answer is worth.

An exercise keeps the floor as it was known when it was set; so it marks one answer or a class's, then or later.
"""

from __future__ import annotations

import math
import re
from abc import ABC, abstractmethod
from collections.abc import Collection, Iterator, Mapping
from random import Random

from advisor.answer.kind_words import outlook
from advisor.asking.causes import first_of, ranked_with
from advisor.asking.typed_short import MOST_NAMED, named
from advisor.errors import did_you_mean, nearest
from advisor.model.knowledge import RuleBase
from advisor.model.plain_words import conclusion_words
from advisor.model.standing import Reason
from advisor.rulebase.causes import SIGNS
from advisor.teaching.closing import MindChange, hazards_of, outcome_told
from advisor.teaching.known_so_far import WEIGHTY, KnownSoFar
from explanations.lessons import Mark, Question, QuestionKind
from explanations.trace import Firing
from explanations.wording import label, listed, wording
from explanations.words import first_sentence, sentence

A_SCREEN, LEADING = 40, 12  # more names than a screen holds are not offered whole: so many that lead, and what falls
ASKED_WELL = 0.5  # of what the best question settles for its effort: what settles as much is as right
TOLD_BRANCHES = 4  # answers to a question of which it is told what each would do
CHOICES = 4  # rules to choose from
KEYS = "abcdefgh"


class Exercise(ABC):
    """One question of a lesson, with what is right."""

    kind: QuestionKind

    def __init__(
        self,
        floor: KnownSoFar,
        told: tuple[str, ...] = (),
        options: Mapping[str, str] | None = None,
        several: bool = False,
    ) -> None:
        self.floor, self.base = floor, floor.reasoner.base
        prompt = wording(f"lessons.{self.kind}.question")
        self.question = Question(self.kind, told, prompt, tuple((options or {}).items()), several)

    @abstractmethod
    def model(self) -> str:
        """An answer that is right, as a learner would type it."""

    @abstractmethod
    def _checked(self, said: str) -> Mark: ...

    def mark(self, said: str) -> Mark:
        """Check an answer against the rule base."""
        return self._checked(" ".join(said.split()))

    def _mark(self, said: str, points: int, best: str, because: str, rules: Collection[str] = ()) -> Mark:
        return Mark(kind=self.kind, said=said, points=points, best=best, because=because, rules=tuple(rules))


class WhatToAsk(Exercise):
    """Which fact to ask for next."""

    kind = "ask"

    def __init__(self, floor: KnownSoFar) -> None:
        super().__init__(floor)
        self._waiting = {question.fact: question for question in floor.asked}

    def model(self) -> str:
        """The fact that is worth most asking for."""
        worth = self.floor.worth
        return max(worth, key=lambda each: worth[each]) if worth else next(iter(self._waiting))

    def wanted(self, said: str) -> str:
        """The fact that an answer asks for; empty where it is none to ask for now."""
        name = self._meant(said)
        return name if self._judged(name, self.model(), said)[0] else ""

    def _checked(self, said: str) -> Mark:
        name, best = self._meant(said), self.model()
        points, lead = self._judged(name, best, said)
        told = name if points == 2 else best
        because = (lead, self.base.facts[told].why, *self._branches(told))
        return self._mark(
            said,
            points,
            wording("lessons.ask_for", fact=label("fact", best), ask=self.base.facts[best].ask or ""),
            " ".join(sentence(each) for each in because if each),
            self._waiting[told].rules[:3] if told in self._waiting else (),
        )

    def _judged(self, name: str, best: str, said: str) -> tuple[int, str]:
        worth, fact = self.floor.worth, label("fact", name)
        if name in self.floor.known:
            return 0, wording("lessons.known_already", fact=fact)
        if name in self.floor.not_known:
            return 0, wording("lessons.not_known", fact=fact)
        as_much = worth.get(name, 0.0) >= ASKED_WELL * worth.get(best, math.inf)
        if name == best or as_much or self.floor.turned_by(name):
            return 2, ""
        if name in worth or name in self._waiting:
            return self._lesser(name)
        if name in self.base.facts:
            return 0, wording("lessons.nothing_waits", fact=fact)
        if not said:
            return 0, ""
        hint = did_you_mean(found[:MOST_NAMED]) if (found := named(self.base, said)) else nearest(name, self.base.facts)
        return 0, f"{sentence(wording('lessons.no_fact', name=said))} {hint}".strip()

    def _lesser(self, name: str) -> tuple[int, str]:
        """What a question is worth that settles less than the best, and what its answers would do."""
        found, fact = self.floor.bearing.get(name), label("fact", name)
        if found is None or found.bears == "not":
            if name in self.floor.worth:  # on some of the floors that this may be, with several others
                return 1, wording("lessons.with_several", fact=fact)
            leading, kind = self.floor.advice.answer.leading, self.floor.advice.answer.kind
            now = outlook(kind, self.base.finishes[leading].name if leading else "")
            return 0, wording("lessons.changes_nothing", fact=fact, now=now)
        then = outcome_told(self.base, found.to[0])
        others = listed(
            wording("pictures.named", name=label("fact", each.fact), value=each.values) for each in found.others
        )
        key = "lessons.others_change_more" if found.bears == "alone" else "lessons.only_together"
        return 1, wording(key, fact=fact, values=found.values, others=others, then=then)

    def _meant(self, said: str) -> str:
        """The fact that is named, as at the counter, if it is one alone; else as said."""
        found = named(self.base, said.strip(" ."))
        return found[0] if len(found) == 1 else _id(said)

    def _branches(self, fact: str) -> Iterator[str]:
        """What each answer to a question would do, the likeliest first."""
        look = self.floor.outlook
        branches = look.branches(fact) if fact in look.undecided else ()
        for each in sorted(branches, key=lambda branch: -branch.share)[:TOLD_BRANCHES]:
            if SIGNS in self.base.criteria:
                first = first_of(ranked_with(self.floor.reasoner, look.memory, fact, each.said))
                causes = listed((self.base.finishes[cause].name for cause in first), "or")
                yield wording("lessons.would_be", answer=each.stretch, causes=causes)
                continue
            kind, finish = each.turns[0].recommendation
            then = outlook(kind, self.base.finishes[finish].name if finish else "")
            share = each.turns[0].share
            yield wording("lessons.would", answer=each.stretch, then=then, share=round(100 * share))


class WhatFalls(Exercise):
    """Which finishes fall by what has come to light."""

    kind = "fall"

    def __init__(self, before: KnownSoFar, floor: KnownSoFar) -> None:
        now = floor.out - before.out
        self.before, self.fallen = before, [finish for finish in floor.reasoner.base.finishes if finish in now]
        left = [each.finish for each in before.advice.standings if each.finish not in before.out]
        offered = {*left} if len(left) <= A_SCREEN else {*left[:LEADING], *self.fallen}
        finishes = floor.reasoner.base.finishes.items()
        super().__init__(floor, floor.told, {name: each.name for name, each in finishes if name in offered}, True)

    def model(self) -> str:
        """Their names."""
        return ", ".join(self.fallen) or wording("lessons.none")

    def _checked(self, said: str) -> Mark:
        names = _named(said, {finish: each.name for finish, each in self.base.finishes.items()})
        fallen = self.fallen
        points = _for_several(names, set(fallen))
        by = {each.finish: each.ruled_out_by[0] for each in self.floor.advice.standings if each.finish in fallen}
        named = listed(self.base.finishes[finish].name for finish in fallen)
        best = wording("lessons.falls", n=len(fallen), names=named) if fallen else wording("lessons.none_falls")
        because = " ".join(dict.fromkeys(self._because(by)))
        rules = dict.fromkeys(by[finish].rule for finish in fallen if points == 2 or finish not in names)
        return self._mark(said, points, best, because, rules)

    def _because(self, by: Mapping[str, Reason]) -> Iterator[str]:
        """Why finishes fall: what one rule says of several is told of the first, and the others are named."""
        alike: dict[str, list[str]] = {}
        for finish, firing in by.items():
            alike.setdefault(firing.rule, []).append(finish)
        for first, *others in alike.values():
            yield by[first].because
            if names := [self.base.finishes[each].name for each in others if by[each].because != by[first].because]:
                yield wording("lessons.likewise", names=listed(names))


class WhatFollows(Exercise):
    """Which rule fires now, among others that do not."""

    kind = "conclude"

    def __init__(self, floor: KnownSoFar, fresh: list[Firing], random: Random) -> None:
        self._fresh, best = fresh, fresh[0]
        base = floor.reasoner.base
        fired = {firing.rule for firing in floor.advice.trace.firings}
        silent = sorted(
            name
            for name, rule in base.rules.items()
            if name not in fired and rule.when.keys() & floor.known.keys() and any(_concludes(base, name))
        )
        near = [name for name in silent if base.rules[name].topic == best.topic]
        pool = near if len(near) >= CHOICES - 1 else silent
        self._rules = _lettered([best.rule, *random.sample(pool, min(CHOICES - 1, len(pool)))], random)
        options = {key: f"{listed(_concludes(base, rule))} [{rule}]" for key, rule in self._rules.items()}
        super().__init__(floor, options=options)

    def model(self) -> str:
        """Its letter."""
        fresh = {firing.rule for firing in self._fresh}
        return next(key for key, rule in self._rules.items() if rule in fresh)

    def _checked(self, said: str) -> Mark:
        rule = self._rules.get(_letter(said), said.strip(" ."))
        firings = {firing.rule: firing for firing in reversed(self._fresh)}
        best = self._fresh[0]
        shown = firings.get(rule, best)
        points = 2 if rule in firings else 0
        return self._mark(said, points, wording("lessons.fires", rule=best.rule), shown.because, (shown.rule,))


class WhatIsAdvised(Exercise):
    """What the answer is, all facts known."""

    kind = "answer"

    def __init__(self, before: KnownSoFar, floor: KnownSoFar, random: Random) -> None:
        answer, standings = floor.advice.answer, floor.advice.standings
        names = [sentence(each.name) for each in standings if each.finish != answer.leading]
        chosen = list(dict.fromkeys((answer.sentence, before.advice.answer.sentence, *names)))[:CHOICES]
        self._answers = _lettered(chosen, random)
        super().__init__(floor, floor.told, self._answers)

    def model(self) -> str:
        """Its letter."""
        return next(key for key, words in self._answers.items() if words == self.floor.advice.answer.sentence)

    def _checked(self, said: str) -> Mark:
        advice = self.floor.advice
        answer = advice.answer
        chosen = self._answers.get(_letter(said), said)
        name = self.base.finishes[answer.leading].name if answer.leading else ""
        right = chosen == answer.sentence or (answer.kind == "finish" and chosen.strip(". ").lower() == name.lower())
        stops = [each.reasons[0] for each in advice.stops] + [each.reasons[0] for each in advice.holds]
        hangs_on: list[Reason] = [*advice.bearing[:1], *stops]  # of "test first", why the test
        because, rules = (hangs_on[0].because, (hangs_on[0].rule,)) if hangs_on else ("", ())
        return self._mark(said, 2 if right else 0, answer.sentence, because, rules)


class WhatTurns(Exercise):
    """Which one fact would change the answer."""

    kind = "turn"

    def __init__(self, floor: KnownSoFar, changes: list[MindChange]) -> None:
        self._changes = dict(zip(KEYS, changes, strict=False))
        super().__init__(floor, options={key: each.words for key, each in self._changes.items()})

    def model(self) -> str:
        """Its letter."""
        return next(key for key, each in self._changes.items() if each.to)

    def _checked(self, said: str) -> Mark:
        chosen, best = self._changes.get(_letter(said)), self._changes[self.model()]
        wrong = wording("lessons.turns_nothing", what=chosen.words) if chosen and not chosen.to else ""
        because = wording("lessons.then", then=best.to)
        rules = [each.rule for each in self.floor.advice.bearing[:1]]
        return self._mark(said, 2 if chosen == best else 0, best.words, f"{wrong} {because}".strip(), rules)


class WhichHazards(Exercise):
    """Which hazards floor and work carry; none to choose from where the rule base knows none."""

    kind = "hazard"

    def __init__(self, floor: KnownSoFar, random: Random) -> None:
        self.hazards, self._there = hazards_of(floor.reasoner.base, floor.advice, random)
        super().__init__(floor, options=self.hazards, several=True)

    def model(self) -> str:
        """Their names."""
        return ", ".join(each for each in self.hazards if each in self._there) or wording("lessons.none")

    def _checked(self, said: str) -> Mark:
        names = _named(said, self.hazards)
        shown = [each for each in self.floor.advice.hazards if each.caution in self._there]
        return self._mark(
            said,
            _for_several(names, self._there),
            listed(self.hazards[each.caution] for each in shown) or wording("lessons.none"),
            " ".join(sentence(first_sentence(each.says)) for each in shown),
            dict.fromkeys(each.reasons[0].rule for each in shown if each.reasons),
        )


def _concludes(base: RuleBase, rule: str) -> Iterator[str]:
    for kind, _, words in conclusion_words(base, base.rules[rule], in_short=True):
        if kind in WEIGHTY:
            yield words


def _lettered(chosen: list[str], random: Random) -> dict[str, str]:
    random.shuffle(chosen)
    return dict(zip(KEYS, chosen, strict=False))


def _letter(said: str) -> str:
    return said.strip(" .)").lower()


def _id(said: str) -> str:
    """A fact as it is typed, as its id."""
    return said.lower().strip(" .").replace(" ", "_").replace("-", "_")


def _named(said: str, called: Mapping[str, str]) -> set[str]:
    """The ids of what is named with commas between, by id or by what it is called."""
    ids = {words.lower(): name for name, words in called.items()}
    typed = {name.strip().lower() for name in re.split(r"[,;]", said.strip(" .")) if name.strip()}
    return {ids.get(name, name.replace(" ", "_")) for name in typed - {wording("lessons.none")}}


def _for_several(names: Collection[str], right: Collection[str]) -> int:
    """2 points for all and no other, 1 where at least half of what is named is right."""
    if {*names} == {*right}:
        return 2
    hits = {*names} & {*right}
    return 1 if hits and len(names) <= 2 * len(hits) else 0
