"""JSON Schema of what `boottop record --json` prints: that of the Record itself, with its times as they are printed."""

from __future__ import annotations

from typing import Any

from boottop.files.documents import Document

TIME = {"type": "string", "format": "date-time"}
NO_TIME = {"anyOf": [TIME, {"type": "null"}]}
EVENT = {
    "type": "object",
    "description": "one entry of the log; `chain` is the hash over it and the entry before it",
    "properties": {
        "seq": {"type": "integer", "minimum": 1},
        "received": TIME,
        "chain": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
        "id": {"type": "string", "format": "uuid"},
        "kind": {"type": "string"},
        "happened": TIME,
        "recorded": TIME,
        "device": {"type": "string"},
        "order": {"type": "integer"},
        "who": {"type": "string"},
        "zone": {"anyOf": [{"type": "string"}, {"type": "null"}]},
        "data": {"type": "object"},
    },
}


class RecordDocument(Document):
    """`boottop record --json`."""

    @classmethod
    def model_json_schema(cls, *_: Any, **__: Any) -> dict[str, Any]:
        """The schema, closed: what is not named is not there."""
        from pydantic import TypeAdapter

        from boottop.record.record import SCHEMA, Record

        schema: dict[str, Any] = TypeAdapter(Record).json_schema(mode="serialization")
        for part in (schema, *schema["$defs"].values()):
            _as_printed(part)
        schema["properties"] |= {
            "schema": {"const": SCHEMA},
            "stands": {"type": "object", "additionalProperties": TIME},
            "log": {"type": "array", "items": _closed(EVENT)},
        }
        share = {"anyOf": [{"type": "number"}, {"type": "null"}]}
        schema["$defs"]["ZoneFilm"]["properties"]["share_of_nominal"] = share
        for part in (schema, schema["$defs"]["ZoneFilm"]):
            _closed(part)
        schema["description"] = "The coating record of one job and its log: times in UTC, numbers in SI."
        return schema


def _as_printed(part: dict[str, Any]) -> None:
    """Epoch seconds, which all end in _s, as times without that ending."""
    if "properties" in part:
        part["properties"] = dict(_property(name, one) for name, one in part["properties"].items())
        _closed(part)


def _property(name: str, schema: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    kinds = {one.get("type") for one in schema.get("anyOf", [schema])}
    if not name.endswith("_s") or not kinds <= {"integer", "null"}:
        return name, schema
    return name.removesuffix("_s"), NO_TIME if "null" in kinds else TIME


def _closed(part: dict[str, Any]) -> dict[str, Any]:
    part |= {"additionalProperties": False, "required": list(part["properties"])}
    return part
