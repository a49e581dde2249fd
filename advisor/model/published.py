"""What is handed out as data: the base of every part of an answer, and of what `--json` prints as a whole."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """Base of the parts of an answer as data: frozen, closed; what is printed always has every field."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", defer_build=True, json_schema_serialization_defaults_required=True
    )


class Published(Part):
    """What `--json` prints as a whole; the name and version of its form stand first."""

    format: str
