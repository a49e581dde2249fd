"""What an overlay changes in matters of safety, in sentences for whoever reads the answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.model.knowledge import RuleBase
from advisor.rulebase.additions import SAID_IN
from advisor.validation.safeguards import guards, limits_of, protected_rules
from explanations.wording import listed, wording


def safety_words(below: RuleBase, above: RuleBase) -> tuple[str, ...]:
    """What the rule base above does otherwise than the one below, where people could be hurt; empty if nothing."""
    told = (
        *_of_rules(below, above),
        *_of_figures(below, above),
        *_said("own_finishes", (above.finishes[name].name for name in above.finishes.keys() - below.finishes.keys())),
        *_said("doubts", _changed(below, above, "contradictions")),
        *_said("adds_words", _adding(below, above)),
    )
    return tuple(told)


def _of_rules(below: RuleBase, above: RuleBase) -> Iterator[str]:
    guarding = {rule.id: rule for rule in protected_rules(above, guards)}
    new = [rule for rule in guarding.values() if rule.id not in below.rules]
    warned = sorted({above.cautions[each].named(each) for rule in new for each in rule.then.caution})
    yield from _said("warns_more", warned)
    yield from _said("refers_more", sorted({above.referrals[each].who for rule in new for each in rule.then.refer}))
    yield from _said("asks_more", sorted(rule.id for rule in new if not (rule.then.caution or rule.then.refer)))
    yield from _said("rules_changed", (name for name in _changed(below, above, "rules") if name in guarding))
    graver = (name for name, each in below.cautions.items() if above.cautions[name].severity != each.severity)
    yield from _said("graver", (above.cautions[name].named(name) for name in graver))


def _of_figures(below: RuleBase, above: RuleBase) -> Iterator[str]:
    rules = protected_rules(above, guards)
    for name in dict.fromkeys(name for rule in rules for name in limits_of(rule)):
        if name in below.limits and below.limits[name].given != above.limits[name].given:
            given = {"before": below.limits[name].given, "now": above.limits[name].given}
            yield wording("overlays.limit_moved", limit=name, **given)
    parts = [part for rule in rules for part in (rule.when, rule.judges) if isinstance(part, dict)]
    named = {text for part in parts for texts in part.values() for text in texts}
    judged = {name for rule in rules if isinstance(rule.judges, dict) for name in rule.judges}
    for finish in below.finishes.values():
        for name, value in finish.properties.items():
            now = above.finishes[finish.id].properties[name]
            rests = name in judged or any(f"finish.{name}" in text for text in named)
            if rests and value.given != now.given:
                before, after = (listed((e,) if isinstance(e, str) else e) for e in (value.given, now.given))
                yield wording("overlays.figure_moved", finish=finish.name, property=name, before=before, now=after)


def _changed(below: RuleBase, above: RuleBase, section: str) -> list[str]:
    old, new = getattr(below, section), getattr(above, section)
    if section == "contradictions":
        return [name for name in new if new[name] != old.get(name)]
    return [name for name in old if new[name] != old[name]]


def _adding(below: RuleBase, above: RuleBase) -> list[str]:
    """The entries to whose words something is added."""
    return [
        name
        for section in SAID_IN
        for name, entry in getattr(above, section).items()
        if name in getattr(below, section) and entry.adds != getattr(below, section)[name].adds
    ]


def _said(key: str, names: Iterable[str]) -> Iterator[str]:
    found = list(dict.fromkeys(names))
    if found:
        yield wording(f"overlays.{key}", n=len(found), names=listed(found))
