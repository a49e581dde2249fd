"""What the entries of data sheets must satisfy: that what they set, move, bring and stand in for is there."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.errors import Fault, nearest
from advisor.model.conditions import parse_condition
from advisor.model.entry import Entry
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import Procedure, Ready, Task
from advisor.validation.checks.known import is_known
from explanations.wording import wording

Where = Callable[..., str]
MODELS: dict[str, type[Entry]] = {"use": Use, "task": Task, "ready": Ready, "procedure": Procedure}


def check_sheet(base: RuleBase, where: Where) -> Iterator[Fault]:
    """Every fault of what a data sheet may say."""
    for name, entry in base.sheet.items():
        what, _, field = entry.sets.partition(".")
        known = base.properties if what == "finish" else MODELS[what].model_fields if what in MODELS else {}
        if field not in known:
            at = where("sheet", name, "sets")
            yield Fault(at, wording("product.check_sets", what=what, field=field), remedy=nearest(field, known))
        for moved in entry.moves:
            yield from is_known(moved, base.properties, "property", where("sheet", name, "moves"))
        for value, caution in entry.brings.items():
            yield from is_known(caution, base.cautions, "caution", where("sheet", name, "brings"))
            yield from is_known(value, dict.fromkeys(entry.choices), "value", where("sheet", name, "brings"))
        for limit in entry.instead_of:
            at = where("sheet", name, "instead_of")
            unknown = list(is_known(limit, base.limits, "limit", at))
            yield from unknown
            if not unknown and not _judged_by(base, field, limit):
                yield Fault(
                    at, wording("product.check_idle", limit=limit, field=field), wording("product.check_judges")
                )


def _judged_by(base: RuleBase, field: str, limit: str) -> bool:
    """Whether some rule judges finishes by comparing this property of theirs with this limit."""
    judging = (rule.judges.get(field, ()) for rule in base.rules.values() if isinstance(rule.judges, dict))
    return any(parse_condition(text).operand == f"limit.{limit}" for texts in judging for text in texts)
