"""What every entry of the rule base is made of: closed, frozen models, and the few types that texts are read as."""

from __future__ import annotations

from typing import Annotated

from pydantic import AliasChoices, BaseModel, BeforeValidator, ConfigDict, Field


def _as_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


def _from_yes_no(value: object) -> object:
    return {"yes": True, "no": False}.get(value, value) if isinstance(value, str) else value


Texts = Annotated[tuple[str, ...], BeforeValidator(_as_list)]
YesNo = Annotated[bool, BeforeValidator(_from_yes_no)]
Sources = Annotated[Texts, Field(min_length=1, validation_alias=AliasChoices("source", "sources"))]
Text = Annotated[str, Field(min_length=3, max_length=800)]


class Entry(BaseModel):
    """Base of all sections: closed schema, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)
