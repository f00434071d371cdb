"""The JSON schema of a case file, from which an editor completes and checks one."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from acoustics.case.tables.case_table import CaseTable
from acoustics.case.text.lines import Path

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _WithoutNull(GenerateJsonSchema):
    """TOML has no null: a key that may be left out is simply left out."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        described = super().default_schema(schema)
        if described.get("default", 0) in (None, {}, []):
            del described["default"]
        return described


@cache
def case_schema() -> dict[str, Any]:
    """The schema as plain dicts and lists (JSON schema, draft 2020-12)."""
    described = CaseTable.model_json_schema(schema_generator=_WithoutNull)
    # Editors take this key for their own; it is no part of the design.
    return {"$schema": DIALECT, **described}


def schema_text() -> str:
    """The schema as the text of a file, in ASCII."""
    return json.dumps(case_schema(), indent=2) + "\n"


def described_at(location: Path) -> dict[str, Any]:
    """The part of the schema for one place of a case file; empty where nothing is allowed.

    `location` is pydantic's: a path in the file, and after a crossover section its type.
    """
    node = resolved(case_schema())
    for part in location:
        if isinstance(part, int):
            node = node.get("items", {})
        elif "discriminator" in node:
            node = {"$ref": node["discriminator"]["mapping"][part]}
        else:
            node = node.get("properties", {}).get(part, node.get("additionalProperties"))
        if not isinstance(node, dict):
            return {}
        node = resolved(node)
    return node


def resolved(node: dict[str, Any]) -> dict[str, Any]:
    """A part of the schema with what it refers to put in its place."""
    if "$ref" not in node:
        return node
    target = case_schema()["$defs"][node["$ref"].rsplit("/", 1)[1]]
    return {**target, **node}
