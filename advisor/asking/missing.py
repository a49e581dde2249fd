"""Why a rule did not fire: which of its conditions failed, and by how much; behind a finding that was not made, why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from advisor.model.conditions import Comparison, parse_condition
from advisor.model.finishes import Finish
from advisor.model.grounding import judged, pattern_on
from advisor.model.knowledge import RuleBase
from advisor.model.plain_words import condition_words, direction
from advisor.model.program import Pattern
from advisor.model.quantities import show, show_text
from advisor.model.rules import Rule
from advisor.model.values import Value
from advisor.physics.bounds import Interval
from explanations.wording import label, listed, wording


@dataclass(frozen=True)
class Failed:
    """A condition that was not met: what it asks, what is so, by how much it fails, and why a finding was not made."""

    asks: str
    now: str
    short: str = ""
    property: bool = False  # of the finish, by which the rule does not judge it at all
    behind: tuple[NotFired, ...] = ()


@dataclass(frozen=True)
class NotFired:
    """A rule that did not fire for a finish (or the floor): what it lacks, and what it had."""

    rule: str
    finish: str
    failed: tuple[Failed, ...]
    met: tuple[str, ...]

    @property
    def fired(self) -> bool:
        """Whether nothing is lacking."""
        return not self.failed


def missing(
    base: RuleBase, rule: Rule, finish: Finish | None, memory: Mapping[str, Value], found: frozenset[str]
) -> NotFired:
    """What a rule lacked on this floor.

    Args:
        base: the rule base.
        rule: the rule.
        finish: the finish it was to judge; none for a rule about the floor.
        memory: the working memory.
        found: the findings that were made, by their names in working memory.
    """
    failed: list[Failed] = []
    met: list[str] = []
    about = finish if rule.judges is not None else None
    if about is not None and isinstance(rule.judges, dict):
        failed += _unlike(base, rule, about)
    for fact, texts in rule.when.items():
        for text in texts:
            words = condition_words(base, fact, text) + _own(text, about)
            pattern = pattern_on(base, fact, (text,), about)
            if pattern is None:
                failed.append(
                    Failed(words, wording("asking.lacks.no_limit", finish=about.name if about else "").strip())
                )
            elif fact in base.findings:
                if pattern.fact in found:
                    met.append(words)
                else:
                    failed.append(
                        Failed(
                            words, wording("asking.lacks.not_found"), behind=_behind(base, fact, about, memory, found)
                        )
                    )
            elif pattern.holds(memory[pattern.fact]):
                met.append(words)
            else:
                value = memory[pattern.fact]
                now = wording("asking.lacks.is", fact=label("fact", fact), value=value.shown)
                failed.append(Failed(words, now, _short(base, fact, pattern, value)))
    return NotFired(rule.id, about.id if about else "", tuple(failed), tuple(met))


def _unlike(base: RuleBase, rule: Rule, finish: Finish) -> list[Failed]:
    """The properties by which a rule does not judge a finish at all."""
    assert isinstance(rule.judges, dict)
    found = []
    for name, texts in rule.judges.items():
        if finish in judged(base, rule.model_copy(update={"judges": {name: texts}})):
            continue
        has = finish.properties.get(name)
        given = _said(has.given, "and") if has else finish.name
        wanted = listed(f"{_wanted(base, name, text)}{_own(text, finish)}" for text in texts)
        asks = wording("asking.lacks.judges", property=label("property", name), wanted=wanted)
        has_it = wording("asking.lacks.has", property=label("property", name), finish=finish.name, value=given)
        found.append(Failed(asks, has_it, property=True))
    return found


def _said(given: str | tuple[str, ...], last: str) -> str:
    """A property of a finish in words."""
    return show_text(given) if isinstance(given, str) else listed((label("value", each) for each in given), last)


def _wanted(base: RuleBase, name: str, text: str) -> str:
    asks = parse_condition(text)
    if asks.operand.startswith("limit."):
        limit = base.limits[asks.operand.removeprefix("limit.")]
        return wording("asking.lacks.limit", order=direction(asks), value=show_text(limit.given), means=limit.means)
    if asks.values:
        named = (base.finishes[each].name if name == "id" else label("value", each) for each in asks.values)
        values = listed(named, "or")
        return wording("asking.lacks.not", values=values) if asks.negated else values
    own = label("property", asks.operand.removeprefix("finish."))
    return wording("asking.lacks.own", order=direction(asks), property=own)


def _own(text: str, finish: Finish | None) -> str:
    """The value that a condition's operand has for this finish."""
    asks = parse_condition(text)
    where, _, name = asks.operand.partition(".")
    if finish is None or where != "finish":
        return ""
    return wording("asking.lacks.here", value=_said(finish.properties[name].given, "or"))


def _behind(
    base: RuleBase, finding: str, finish: Finish | None, memory: Mapping[str, Value], found: frozenset[str]
) -> tuple[NotFired, ...]:
    """Why no rule concluded a finding, the nearest rule first."""
    rules = [rule for rule in base.rules.values() if finding in rule.then.finding]
    about = finish if base.findings[finding].of == "finish" else None
    tried = [missing(base, rule, about, memory, found) for rule in rules]
    return tuple(sorted(tried, key=lambda each: len(each.failed)))


def _short(base: RuleBase, fact: str, pattern: Pattern, value: Value) -> str:
    """By how much a number misses what is asked."""
    if value.interval is None or not pattern.comparisons or not value.known:
        return ""
    unit = {"calendar_year": "year"}.get(base.facts[fact].unit, base.facts[fact].unit)
    gaps = [short_of(each, value.interval, unit) for each in pattern.comparisons if not each.holds(value.interval)]
    return listed(gaps)


def short_of(comparison: Comparison, interval: Interval, unit: str) -> str:
    """The distance from the limit: of a range its near end's, or its far end's where the limit lies within."""
    bound, rising = comparison.bound, comparison.op in (">", ">=")
    least, most = sorted((bound - end if rising else end - bound) for end in (interval.low, interval.high))
    gap = most if least < 0 else least
    if gap == 0:
        return wording("asking.lacks.at_limit")
    key = f"{'up_to_' if least < 0 else ''}{'low' if rising else 'high'}"
    return wording(f"asking.lacks.{key}", gap=show(Interval(gap, gap), "delta_degC" if unit == "degC" else unit))
