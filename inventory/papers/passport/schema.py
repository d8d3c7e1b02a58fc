"""The JSON Schema of a part history, which travels beside it. Pure."""

from __future__ import annotations

import json
from dataclasses import fields
from typing import Any

from inventory.papers.passport.history import FORMAT, Enclosed, Gone, PartHistory, ToldFact

__all__ = ["schema_json"]

_TYPES: dict[str, Any] = {
    "str": {"type": "string"},
    "str | None": {"type": ["string", "null"]},
    "int": {"type": "integer", "minimum": 0},
    "bool": {"type": "boolean"},
    "dict[str, Any]": {"type": "object"},
    "dict[str, int]": {"type": "object", "additionalProperties": {"type": "integer"}},
    "tuple[str, ...]": {"type": "array", "items": {"type": "string"}},
}
_MODELS = {"ToldFact": ToldFact, "Gone": Gone, "Enclosed": Enclosed}
_MEANS = {
    "on": "when it was so: EDTF",
    "recorded_on": "when it was written down: ISO 8601",
    "written_on": "ISO 8601",
    "record": "the identity of the record in which it was first written",
    "id": "its id there",
    "by": "who wrote it down, as a role unless names were kept",
    "how_known": "seen, measured, document, said by seller, stated, inferred, passport, ...",
    "gone": "facts that no longer count",
    "stays": "how many facts were left out, by what they are about",
    "copy_of": "SHA-256 of the original, where this is a copy without place, camera, owner and times",
    "fingerprint": "SHA-256 of this object as canonical JSON, without number, written_on, entries, anchor, "
    "unverified, fingerprint",
    "unverified": "how many problems the record had when this was written all the same, else 0",
}


def schema_json() -> str:
    """The schema, as JSON."""
    whole = _object(PartHistory)
    whole["properties"] |= {"format": {"const": FORMAT}, "fingerprint": {"type": ["string", "null"]}}
    whole["properties"]["fingerprint"]["description"] = _MEANS["fingerprint"]
    whole["required"] += ["format", "fingerprint"]
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Part history"}
    return json.dumps({**head, **whole}, indent=1) + "\n"


def _object(model: Any) -> dict[str, Any]:
    properties = {}
    for field in fields(model):
        known = dict(_TYPES.get(str(field.type)) or _array(str(field.type)))
        properties[field.name] = {**known, "description": _MEANS[field.name]} if field.name in _MEANS else known
    return {"type": "object", "properties": properties, "required": list(properties)}


def _array(kind: str) -> dict[str, Any]:
    """The list of the objects of one class: its type is written "tuple[Gone, ...]"."""
    return {"type": "array", "items": _object(_MODELS[kind.removeprefix("tuple[").removesuffix(", ...]")])}
