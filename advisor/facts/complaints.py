"""What went wrong with a floor, whichever fact tells it: the complaints that causes are judged by."""

from __future__ import annotations

from collections.abc import Container, Mapping

from advisor.facts.computing import needless_where
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value, choice
from explanations.wording import label, wording

COMPLAINTS = ("trouble", "second_trouble", "third_trouble")
NOTHING = "none"
BRINGS = "what_brings"  # the fact that says whether somebody comes because something went wrong


def with_complaints(base: RuleBase, facts: Mapping[str, Value]) -> dict[str, Value]:
    """The facts, with complaints that other facts come to in the places that nobody filled.

    Args:
        base: whose section `signs` says which value of which fact comes to which complaint.
        facts: that a case states.
    """
    found = dict(facts)
    said = [facts[name].choice for name in COMPLAINTS if name in facts and facts[name].known]
    if "trouble" not in base.facts or NOTHING in said[:1]:
        return found
    free = [name for name in COMPLAINTS if name not in facts or not facts[name].known]
    for fact, sign in base.signs.items():
        value = facts[fact].choice if fact in facts and facts[fact].known else ""
        complaint = sign.comes_to.get(value, "")
        told = complaint in said or any(each in said for each in sign.told_by)
        if complaint and not told and free:
            note = wording("causes.comes_to", fact=label("fact", fact), value=label("value", value))
            found[free.pop(0)] = choice(complaint, note=note)
            said.append(complaint)
    return found


def told_by_complaints(base: RuleBase, facts: Mapping[str, Value], stated: Container[str]) -> dict[str, Value]:
    """The facts, with what the complaints tell of others that nobody stated: nobody need say twice that it peels.

    Args:
        base: whose section `signs` says which complaint tells which value of which fact.
        facts: that are known so far.
        stated: the facts that somebody stated; what follows from complaints follows anew.
    """
    found = dict(facts)
    said = [facts[name].choice for name in COMPLAINTS if name in facts and facts[name].known]
    for fact, sign in base.signs.items():
        if not sign.told_by or fact in stated:
            continue
        if fact in found and found[fact].note in map(_told_by, sign.told_by):  # it followed from what was said before
            del found[fact]
        complaint = next((each for each in said if each in sign.told_by), "")
        if complaint and not (fact in found and found[fact].known):
            found[fact] = choice(sign.told_by[complaint], note=_told_by(complaint))
    return found


def _told_by(complaint: str) -> str:
    return wording("causes.told_by", complaint=label("value", complaint))


def complaints(base: RuleBase, facts: Mapping[str, Value]) -> dict[str, str]:
    """What went wrong, the worst first, each with the fact that tells it; nothing where nobody said so."""
    told = with_complaints(base, facts)
    found: dict[str, str] = {}
    for name in COMPLAINTS:
        if name in told and told[name].known and told[name].choice != NOTHING:
            found.setdefault(told[name].choice, name)
    return found


def beside_the_point(base: RuleBase, fact: str, facts: Mapping[str, Value]) -> bool:
    """Whether a fact says by its `needless_where` that none of the complaints wants it: no blister is looked into where
    a floor peels.

    Args:
        base: the rule base.
        fact: that might be asked for.
        facts: what is known of the floor.
    """
    if COMPLAINTS[0] not in base.facts[fact].needless_where:
        return False
    said = {facts[name].choice for name in COMPLAINTS if name in facts and facts[name].known}
    said = said - {NOTHING} or said
    excuse = next(each for each in needless_where(base, fact) if each.fact == COMPLAINTS[0])
    return bool(said) and all(excuse.holds(choice(each)) for each in said)


def spoken_of(base: RuleBase, facts: Mapping[str, Value]) -> bool:
    """Whether so much went wrong that the advice on a finish speaks of it."""
    first = facts.get("trouble")
    if first is not None and first.known:
        return first.choice != NOTHING
    return any(
        fact in facts and facts[fact].choice in sign.comes_to
        for fact, sign in base.signs.items()
        if sign.told_in_advice
    )
