"""Folders of a shop's own rules, made by chance: they rule out, ask first, award, warn, refer and hold.

Unlike those of `overlay_mutations`, which look for what must be refused, all may be laid over: they only add.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

import yaml

from advisor.model.knowledge import RuleBase
from advisor.validation.loading import load_rulebase

Data = dict[str, Any]
RULES = 12  # in one folder
KINDS = ("test", "wait", "repair", "prepare", "choose")
SOURCE = "common_practice"


def random_shop(base: RuleBase, rng: Random) -> Data:
    """A shop's own needs, cautions and referrals, and rules that conclude them and all else that a rule may.

    Args:
        base: the rule base to lie over.
        rng: the source of chance.
    """
    needs = {
        f"shop_need_{at}": {"kind": kind, "decides": rng.choice(["yes", "no"]), "says": f"The shop wants {kind} {at}.",
                            "source": SOURCE}
        for at, kind in enumerate(rng.sample(KINDS, 3))
    }  # fmt: skip
    caution = {"title": "dust of the shop", "severity": rng.choice(["danger", "warning", "caution"]), "step": "any",
               "says": "Mind the dust of the shop.", "source": SOURCE}  # fmt: skip
    referrals = {
        f"shop_calls_{stop}": {"who": f"the foreman ({stop})", "stop": stop, "tell": "that the shop asks for them.",
                               "source": SOURCE}
        for stop in ("yes", "no")
    }  # fmt: skip
    rules = [_rule(base, rng, at, list(needs)) for at in range(RULES)]
    return {"needs": needs, "cautions": {"shop_dust": caution}, "referrals": referrals, "rules": rules}


def _rule(base: RuleBase, rng: Random, at: int, needs: list[str]) -> Data:
    about_the_floor = rng.random() < 0.3
    then: Data
    if about_the_floor:
        then = rng.choice(
            [{"refer": ["shop_calls_yes"]}, {"refer": ["shop_calls_no"]}, {"hold": [rng.choice(needs)]},
             {"caution": ["shop_dust"]}]
        )  # fmt: skip
    else:
        then = rng.choice(
            [{"rule_out": "yes"}, {"first": [rng.choice(needs)]}, {"caution": ["shop_dust"]},
             *[{"points": {name: str(rng.choice([-3, -1, 2, 5]))}} for name in rng.sample(sorted(base.criteria), 3)]]
        )  # fmt: skip
    grave = "hold" in then or "refer" in then
    # what stops all work is for few floors: else every answer would be the same
    when = dict(_condition(base, rng, surely=grave) for _ in range(3 if grave else rng.choice([1, 2])))
    rule: Data = {"id": f"shop.rule_{at}", "when": when, "then": then, "because": f"The shop has rule {at}.",
                  "source": SOURCE}  # fmt: skip
    if not about_the_floor:
        name = rng.choice([name for name, kind in base.properties.items() if kind.type == "choice"])
        rule["judges"] = rng.choice(["every finish", {name: rng.choice(base.properties[name].choices)}])
        rule["because"] = f"The shop has rule {at} of {{finish}}."
    return rule


def _condition(base: RuleBase, rng: Random, surely: bool) -> tuple[str, str]:
    """A condition on one fact: what it is, is not, may be; whether it is known; of a number, how it lies to a limit."""
    limits = [
        (fact, text)
        for rule in base.rules.values()
        for fact, texts in rule.when.items()
        for text in texts
        if "limit." in text and base.facts[fact].of == "floor"
    ]
    if rng.random() < 0.3:
        fact, text = rng.choice(limits)
        return fact, text.removeprefix("may be ") if surely else text
    fact = rng.choice([name for name, kind in base.facts.items() if kind.type != "number" and kind.ask])
    value = rng.choice(base.facts[fact].choices)
    return fact, value if surely else rng.choice([value, f"not {value}", f"may be {value}", "unknown", "known"])


def shops(folder: Path, rng: Random) -> Iterator[RuleBase]:
    """Rule bases, each with such a folder laid over the shipped one.

    Args:
        folder: an empty one, to write them in.
        rng: the source of chance.
    """
    for number in count():
        (place := folder / f"shop{number}").mkdir()
        (place / "own.yaml").write_text(yaml.safe_dump(random_shop(load_rulebase(), rng), sort_keys=False))
        yield load_rulebase(place, proved=False)
