"""Conditions and conclusions of a rule in plain words, without a case."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.model.conditions import Asks, parse_condition
from advisor.model.knowledge import RuleBase
from advisor.model.rules import Rule
from explanations.wording import label, listed, wording

_END_OF_CLAUSE = re.compile(r"[.:;](?:\s|$)")


def condition_words(base: RuleBase, fact: str, text: str) -> str:
    """One condition, as `slab humidity is above 75 % (highest humidity under a film)`."""
    if fact in base.findings:
        return wording("rule_words.found", says=base.findings[fact].says)
    asks, name = parse_condition(text), label("fact", fact)
    if asks.kind in ("unknown", "known"):
        return wording(f"rule_words.{asks.kind}", fact=name)
    if asks.kind == "order":
        return wording("rule_words.order", fact=name, **_compared(base, asks))
    how = ("is_not" if asks.negated else "is", "may_be_not" if asks.negated else "may_be")[asks.may]
    if asks.kind == "among":
        of = label("property", asks.operand.removeprefix("finish."))
        return wording("rule_words.among", how=how, fact=name, property=of)
    return wording("rule_words.one_of", how=how, fact=name, values=_values(asks))


def _compared(base: RuleBase, asks: Asks) -> dict[str, str]:
    """What the words of a comparison take: whether it may be, its direction, its bound."""
    where, _, name = asks.operand.partition(".")
    if where == "limit":
        bound = wording("rule_words.limit", value=base.limits[name].given, means=base.limits[name].means)
    else:
        bound = wording("rule_words.own", property=label("property", name), means=base.properties[name].means)
    return {"may": "yes" if asks.may else "no", "order": direction(asks), "bound": bound}


def direction(asks: Asks) -> str:
    """The direction of a comparison, as the texts choose by it."""
    return str(asks.order).replace(" ", "_")


def _values(asks: Asks) -> str:
    return listed((label("value", each) for each in asks.values), "or")


def judged_words(base: RuleBase, rule: Rule) -> str:
    """Which finishes a rule judges, by their properties; empty for a rule about the floor."""
    if rule.judges is None:
        return ""
    if not isinstance(rule.judges, dict):
        return wording("rule_words.every_finish")
    parts = []
    for name, texts in rule.judges.items():
        for asks in map(parse_condition, texts):
            if name == "id":
                names = listed((base.finishes[each].name for each in asks.values), "or")
                parts.append(wording("rule_words.that_is", names=names))
            elif asks.kind == "order":
                parts.append(
                    wording("rule_words.whose_order", property=label("property", name), **_compared(base, asks))
                )
            else:
                several = base.properties[name].type == "choices"
                how = ("include" if several else "is", "include_not" if several else "is_not")[asks.negated]
                parts.append(
                    wording("rule_words.whose", how=how, property=label("property", name), values=_values(asks))
                )
    return wording("rule_words.every_finish_that", parts=listed(parts))


def conclusion_words(base: RuleBase, rule: Rule, in_short: bool = False) -> Iterator[tuple[str, str, str]]:
    """What a rule concludes: kind, name and words of each conclusion.

    Args:
        base: for what the names stand for.
        rule: the rule.
        in_short: without what is to be done about it.
    """
    then, short = rule.then, "_in_short" if in_short else ""
    cut = first_clause if in_short else str
    for name in then.finding:
        yield "finding", name, wording("rule_words.concludes.finding", says=cut(base.findings[name].says))
    if then.rule_out:
        yield "rule_out", "", wording("rule_words.concludes.rule_out")
    for name in then.first:
        need = base.needs[name]
        kind = label("need_kind", need.kind)
        yield "first", name, wording("rule_words.concludes.first", kind=kind, says=cut(need.says))
    for name in then.hold:
        need = base.needs[name]
        kind = label("need_kind", need.kind)
        yield "hold", name, wording(f"rule_words.concludes.hold{short}", kind=kind, says=need.says)
    for name, points in then.points.items():
        criterion, n = base.criteria[name].name, abs(points)
        yield "points", name, wording("rule_words.concludes.points", points=f"{points:+d}", n=n, criterion=criterion)
    for name in then.caution:
        caution = base.cautions[name]
        severity, step = label("severity", caution.severity), label("step", caution.step)
        yield (
            "caution",
            name,
            wording("rule_words.concludes.caution", severity=severity, step=step, says=cut(caution.says)),
        )
    for name in then.refer:
        referral, stop = base.referrals[name], "yes" if base.referrals[name].stop else "no"
        words = wording(f"rule_words.concludes.refer{short}", stop=stop, who=referral.who, tell=referral.tell)
        yield "refer", name, words


def first_clause(text: str) -> str:
    """What a text of the rule base says up to its first stop, colon or semicolon.

    >>> first_clause("the slab is wet; it must dry.")
    'the slab is wet'
    """
    return _END_OF_CLAUSE.split(text, maxsplit=1)[0]


def sentence_words(base: RuleBase, rule: Rule) -> str:
    """The reason without a case: limits filled in, each fact and property as [its name]."""

    def word(match: re.Match[str]) -> str:
        where, _, name = match[1].partition(".")
        if where == "limit":
            return base.limits[name].given
        if where == "finish":
            return f"[{label('property', name) if name else wording('rule_words.finish')}]"
        return f"[{label('fact', where)}]"

    return re.sub(r"\{([^{}]+)\}", word, rule.because)
