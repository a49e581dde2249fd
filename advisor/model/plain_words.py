"""Conditions and conclusions of a rule in plain words, without a case."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.model.conditions import Asks, parse_condition
from advisor.model.knowledge import Rule, RuleBase
from explanations.words import listing


def plain(name: str) -> str:
    """A name of the rule base as words.

    >>> plain("slab_humidity")
    'slab humidity'
    """
    return name.replace("_", " ")


def condition_words(base: RuleBase, fact: str, text: str) -> str:
    """One condition, as `slab humidity is above 75 % (highest humidity under a film)`."""
    if fact in base.findings:
        return f"it was found that {base.findings[fact].says}"
    asks = parse_condition(text)
    name = plain(fact)
    if asks.kind in ("unknown", "known"):
        return f"{name} is {asks.kind}"
    if asks.kind == "order":
        return f"{name} {'is or may be' if asks.may else 'is'} {asks.order} {_operand(base, asks)}"
    if asks.kind == "among":
        values = f"among the {plain(asks.operand.removeprefix('finish.'))} of the finish"
        return f"{name} {_is(asks)} {values}{_or_unknown(asks)}"
    return f"{name} {_is(asks)} {listing(map(plain, asks.values), 'or')}{_or_unknown(asks)}"


def _is(asks: Asks) -> str:
    return ("is not" if asks.may else "is known and not") if asks.negated else "is"


def _or_unknown(asks: Asks) -> str:
    return ", or unknown" if asks.may else ""


def _operand(base: RuleBase, asks: Asks) -> str:
    where, _, name = asks.operand.partition(".")
    if where == "limit":
        return f"{base.limits[name].given} ({base.limits[name].means})"
    return f"the finish's own {plain(name)} ({base.properties[name].means})"


def judged_words(base: RuleBase, rule: Rule) -> str:
    """Which finishes a rule judges, by their properties; empty for a rule about the floor."""
    if not isinstance(rule.judges, dict):
        return rule.judges or ""
    parts = []
    for name, texts in rule.judges.items():
        for asks in map(parse_condition, texts):
            if name == "id":
                parts.append(f"that is {listing((base.finishes[each].name for each in asks.values), 'or')}")
            elif asks.kind == "order":
                verb = "may be" if asks.may else "is"
                parts.append(f"whose {plain(name)} {verb} {asks.order} {_operand(base, asks)}")
            else:
                verb = "include" if base.properties[name].type == "choices" else "is"
                verb = {"include": "do not include", "is": "is not"}[verb] if asks.negated else verb
                parts.append(f"whose {plain(name)} {verb} {listing(map(plain, asks.values), 'or')}")
    return f"every finish {listing(parts)}"


def conclusion_words(base: RuleBase, rule: Rule) -> Iterator[tuple[str, str, str]]:
    """What a rule concludes: kind, name and words of each conclusion."""
    then = rule.then
    for name in then.finding:
        yield "finding", name, f"it is found that {base.findings[name].says}"
    if then.rule_out:
        yield "rule_out", "", "the finish is ruled out"
    for name in then.first:
        need = base.needs[name]
        yield "first", name, f"the finish suits only if this comes first ({need.kind}): {need.says}"
    for name in then.hold:
        yield "hold", name, f"no finish yet; this comes first ({base.needs[name].kind}): {base.needs[name].says}"
    for name, points in then.points.items():
        yield "points", name, f"{points:+d} {'point' if abs(points) == 1 else 'points'} for {base.criteria[name].name}"
    for name in then.caution:
        caution = base.cautions[name]
        yield "caution", name, f"{caution.severity.upper()} ({plain(caution.step)}): {caution.says}"
    for name in then.refer:
        referral = base.referrals[name]
        lead = "before any finish, call" if referral.stop else "ask"
        yield "refer", name, f"{lead} {referral.who}: {referral.tell}"


def sentence_words(base: RuleBase, rule: Rule) -> str:
    """The reason without a case: limits filled in, each fact and property as [its name]."""

    def word(match: re.Match[str]) -> str:
        where, _, name = match[1].partition(".")
        return base.limits[name].given if where == "limit" else f"[{plain(name or where)}]"

    return re.sub(r"\{([^{}]+)\}", word, rule.because)
