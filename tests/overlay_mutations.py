"""Overlays made by chance: a shipped entry, whole or laid over, with parts dropped, turned round, swapped or moved."""

from __future__ import annotations

import re
from copy import deepcopy
from random import Random
from typing import Any

from advisor.answer.step_cautions import cautions_of, protection, standing_steps
from advisor.engines.reasoning import Reasoner
from advisor.facts.memory import working_memory
from advisor.model.contradictions import contradicted
from advisor.model.knowledge import RuleBase
from advisor.model.rules import SEVERITIES
from advisor.model.values import Value
from tests.rule_folders import shipped_files

Data = dict[str, Any]
Safe = dict[tuple[str, ...], tuple[int, str]]  # what is told, with how grave it is and its words


def random_overlay(rng: Random) -> Data:
    """One shipped entry, changed in one to three places."""
    while True:
        file = deepcopy(rng.choice(shipped_files()))
        if "finish" in file:
            overlay = file
        else:
            section = rng.choice([name for name in file if name not in ("sources", "about")] or ["about"])
            if section == "about":
                continue
            entries = file[section]
            if isinstance(entries, list):
                overlay = {section: [rng.choice(entries)]}
            else:
                name = rng.choice(list(entries))
                overlay = {section: {name: entries[name]}}
        for _ in range(rng.choice([1, 1, 2, 3])):
            _change(overlay, rng)
        return overlay


def _change(data: Data, rng: Random) -> None:
    """Change one part in place."""
    places = list(_places(data))
    if not places:  # all that it had was dropped
        return
    holder, key = rng.choice(places)
    value = holder[key]
    match rng.choice(["drop", "drop", "turn", "take", "few", "move"]):
        case "drop":
            del holder[key]
        case "turn" if isinstance(value, str):
            holder[key] = {"yes": "no", "no": "yes", "danger": "caution"}.get(value, f"Pay no heed to: {value}")
        case "take":
            others = [h[k] for h, k in places if type(h[k]) is type(value)]
            holder[key] = deepcopy(rng.choice(others))
        case "few" if isinstance(value, list) and len(value) > 1:
            holder[key] = rng.sample(value, rng.randrange(1, len(value)))
        case "move" if isinstance(value, str):
            holder[key] = re.sub(r"\d+(\.\d+)?", lambda n: f"{float(n[0]) * rng.choice([0, 0.5, 2, 10]):g}", value)


def _places(data: Any, depth: int = 0) -> Any:
    """Where something stands within an entry: what holds it, and its key."""
    for key in data if isinstance(data, dict) else range(len(data)):
        inner = data[key]
        if depth >= 2 or not isinstance(inner, dict | list):
            yield data, key
        if isinstance(inner, dict | list):
            yield from _places(inner, depth + 1)


def safety(reasoner: Reasoner, facts: dict[str, Value]) -> Safe | None:
    """All that an answer says so that nobody is hurt; None if the floor is refused."""
    base = reasoner.base
    if contradicted(base, facts):
        return None
    memory = working_memory(base, facts)
    found: Safe = {}
    for firing in reasoner.fired(facts):
        for each in firing.conclusions:
            match each.kind:
                case "caution":
                    found["caution", each.name, each.finish] = _caution(base, each.name)
                case "refer":
                    referral = base.referrals[each.name]
                    found["refer", each.name] = (int(referral.stop), f"{referral.who} {referral.tell}")
                case "hold":
                    found["hold", each.name] = (0, base.needs[each.name].says)
                case "rule_out" if base.rules[firing.rule].protects:
                    found["rule_out", each.finish] = (0, "")
                case "first" if base.rules[firing.rule].protects:
                    found["first", each.name, each.finish] = (0, base.needs[each.name].says)
    for procedure in base.procedures.values():
        for finish in procedure.finishes:
            for step in standing_steps(base, procedure, memory):
                task = base.tasks[step.do]
                for name in cautions_of(base, task, step.uses):
                    found["step", name, finish] = _caution(base, name)
                for name in protection(base, task, step.uses):
                    found["worn", name, finish] = (0, base.materials[name].name)
    return found


def _caution(base: RuleBase, name: str) -> tuple[int, str]:
    caution = base.cautions[name]
    return len(SEVERITIES) - SEVERITIES.index(caution.severity), caution.says


def lost(before: Safe, after: Safe | None) -> list[tuple[str, ...]]:
    """What is no longer told, or told more mildly or in other words."""
    if after is None:
        return [("refused",)]
    return [
        key
        for key, (grave, words) in before.items()
        if key not in after or after[key][0] < grave or not after[key][1].startswith(words.rstrip("."))
    ]
