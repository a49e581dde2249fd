"""What may be asked of `/api/v1` and what is answered, as OpenAPI 3.1, made of the models themselves."""

from __future__ import annotations

from typing import Any

from advisor.facts.case_schema import case_schema
from advisor.model.knowledge import RuleBase
from advisor.reference.schemas import CALLED, json_schema
from advisor.web.api_forms import FORMS, LOOKED_UP, Problem
from advisor.web.problems import API, KIND
from explanations.wording import wording

VERSION = "3.1.0"  # OpenAPI Specification 3.1.0, whose schemas are JSON Schema of 2020-12
PARTS = "#/components/schemas/"
ONE = {"type": "string"}
SEVERAL = {"type": "array", "items": ONE}


def openapi(base: RuleBase) -> dict[str, Any]:
    """The whole description; every schema stands once, under `components`.

    Args:
        base: for the facts that a case may state.
    """
    parts: dict[str, Any] = {
        "case": _placed(case_schema(base), "case"),
        "problem": _placed(Problem.model_json_schema(), "problem"),
    }
    paths: dict[str, Any] = {}
    for verb, form in FORMS.items():
        asked, answered = f"{verb}_asked", f"{verb}_answered"
        request = _placed(form.model_json_schema(), asked)
        if "case" in request["properties"]:
            request["properties"]["case"] = {"$ref": f"{PARTS}case"}
        parts[asked] = request
        parts[answered] = _answered(CALLED.get(verb, verb), answered)
        paths[f"{API}/{verb}"] = {
            "post": {
                "operationId": verb,
                "summary": wording(f"web_api.verbs.{verb}"),
                "requestBody": {"required": True, "content": _json(asked)},
                "responses": _responses(answered),
            }
        }
    for what, fields in LOOKED_UP.items():
        parts[f"{what}_answered"] = _answered(what, f"{what}_answered")
        paths[f"{API}/{what}"] = {
            "get": {
                "operationId": what,
                "summary": wording(f"web_api.verbs.{what}"),
                "parameters": [
                    {"name": name, "in": "query", "schema": SEVERAL if several else ONE}
                    for name, several in fields.items()
                ],
                "responses": _responses(f"{what}_answered"),
            }
        }
    return {
        "openapi": VERSION,
        "info": {"title": wording("web.name"), "version": "1", "description": wording("web_api.what")},
        "paths": paths,
        "components": {"schemas": parts},
    }


def _answered(name: str, part: str) -> dict[str, Any]:
    schema = json_schema(name, lambda: {})  # type: ignore[arg-type,return-value]  # no case: asks for no rule base
    del schema["$schema"]
    placed: dict[str, Any] = _placed(schema, part)
    return placed


def _json(part: str) -> dict[str, Any]:
    return {"application/json": {"schema": {"$ref": f"{PARTS}{part}"}}}


def _responses(part: str) -> dict[str, Any]:
    problem = {"description": wording("web_api.wrong"), "content": {KIND: {"schema": {"$ref": f"{PARTS}problem"}}}}
    return {"200": {"description": wording("web_api.answered"), "content": _json(part)}, "default": problem}


def _placed(schema: Any, part: str) -> Any:
    """A schema whose references to its own parts are those of its place in the description."""
    if isinstance(schema, list):
        return [_placed(each, part) for each in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        name: each.replace("#/$defs/", f"{PARTS}{part}/$defs/")
        if name == "$ref" and isinstance(each, str)
        else _mapped(each, part)
        if name == "mapping"
        else _placed(each, part)
        for name, each in schema.items()
    }


def _mapped(mapping: Any, part: str) -> Any:
    """The references of a discriminator."""
    if not all(isinstance(each, str) for each in mapping.values()):
        return _placed(mapping, part)
    return {name: each.replace("#/$defs/", f"{PARTS}{part}/$defs/") for name, each in mapping.items()}
