"""What has a published form: every `--json`, the case file, and what a learner keeps; and where its model is.

Read by `advisor schema` only, so that no verb imports the models of another.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter

from advisor.errors import BadRequest, Fault, nearest
from explanations.wording import wording

if TYPE_CHECKING:
    from advisor.model.knowledge import RuleBase

DIALECT = "https://json-schema.org/draft/2020-12/schema"

# By the verb that prints it with `--json`; the model, or the union of the models where it prints one of several.
MODELS = {
    "advise": "advisor.model.advice:Advice",
    "causes": "advisor.asking.cause_forms:Causes",
    "next": "advisor.asking.next_record:Next",
    "revise": "advisor.asking.revision_record:Revise",
    "why": "advisor.asking.instead:Why",
    "turn": "advisor.asking.why_record:WouldTurn",
    "materials": "advisor.pages.record_forms:Materials",
    "cost": "advisor.pages.record_forms:CostNow",
    "plan": "advisor.pages.record_forms:Plan",
    "compare": "advisor.pages.record_forms:Comparison",
    "care": "advisor.pages.care_page:Kept",
    "quote": "advisor.pages.quote_page:Checked",
    "facts": "advisor.reference.fact_list:FactList",
    "work": "advisor.worksheets.running:Worked",
    "rule": "advisor.reference.rule_page:RulePage",
    "rules": "advisor.reference.rule_list:RuleList",
    "sources": "advisor.reference.source_list:Sources",
    "survey": "advisor.survey.record:Surveyed",
    "lessons": "advisor.teaching.set_record:Lessons",
    "audit": "advisor.validation.audit.record:Audit",
    "diff": "advisor.reference.rule_diff:Diff",
}
FILES = {"case": "", "progress": "explanations.lessons:Progress"}  # what is read; a case by the rule base's facts
CALLED = {"advise": "advice"}  # where the schema is not called as the verb
VERBS = {CALLED.get(verb, verb): verb for verb in MODELS}


def list_schemas() -> str:
    """All names with what each is the form of, a line each."""
    forms = {name: wording("schemas.printed", verb=verb) for name, verb in VERBS.items()}
    forms |= {"case": wording("schemas.case"), "progress": wording("schemas.progress")}
    return "\n".join(f"{name:<10} {what}" for name, what in forms.items())


def json_schema(name: str, rule_base: Callable[[], RuleBase]) -> dict[str, Any]:
    """The JSON Schema of that name.

    Args:
        name: one of those listed.
        rule_base: loads the rule base; called only for a case, whose facts it names.

    Raises:
        BadRequest: there is none of that name; the nearest is named.
    """
    if name == "case":
        from advisor.facts.case_schema import case_schema

        return {"$schema": DIALECT, **case_schema(rule_base())}
    if name not in VERBS and name not in FILES:
        names = [*VERBS, *FILES]
        fault = Fault("advisor schema", wording("schemas.none", name=name), ", ".join(names), nearest(name, names))
        raise BadRequest([fault])
    module, _, model = (MODELS[VERBS[name]] if name in VERBS else FILES[name]).partition(":")
    adapter: TypeAdapter[Any] = TypeAdapter(getattr(import_module(module), model))
    return {"$schema": DIALECT, **adapter.json_schema(mode="serialization")}
