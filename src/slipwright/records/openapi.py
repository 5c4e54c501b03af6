"""What an instrument needs to know to send readings, as OpenAPI 3.1, made from ``records.columns``."""

from __future__ import annotations

from typing import Any

from slipwright.records.columns import Column, table_named
from slipwright.records.models import fields
from slipwright.records.services.instruments import EACH_S, MOST_READINGS, MOST_SENDINGS

READINGS = table_named("readings")
_AT = "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(Z|[+-][0-9]{2}:[0-9]{2})$"
_SHORT = {"type": "string", "minLength": 1, "maxLength": fields.SHORT}
_ERRORS = {
    "400": "What was sent is no JSON, or not of this form.",
    "401": "There is no token, or it is not known, or it was ended.",
    "403": "Whoever made the token may no longer record in this garden.",
    "413": f"More than {MOST_READINGS} readings, or more bytes than are taken at once.",
    "415": "What was sent is not called application/json.",
    "422": "The readings are not a list.",
    "429": f"Too many sendings: {MOST_SENDINGS} at once, then one every {EACH_S:g} seconds.",
    "503": "The garden is held, or the disk is full: send it again later.",
}


def openapi() -> dict[str, Any]:
    """Return the description of the address instruments send to."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Slipwright: readings",
            "version": "1",
            "description": "Takes in what instruments read at the places of a garden. The same reading sent "
            "again is received once.",
        },
        "paths": {"/api/readings": {"post": _post()}, "/api/openapi.json": {"get": _get()}},
        "components": {
            "securitySchemes": {
                "token": {"type": "http", "scheme": "bearer", "description": "made on the garden's page"}
            },
            "schemas": {
                "Reading": _reading(),
                "Readings": _sent(),
                "Answer": _answer(),
                "Answers": _answers(),
                "Refusal": _refusal(),
            },
        },
    }


def _post() -> dict[str, Any]:
    refusals = {status: _told(why, "Refusal") for status, why in _ERRORS.items()}
    for status in ("429", "503"):
        wait = {"description": "seconds to wait", "schema": {"type": "integer", "minimum": 0}}
        refusals[status]["headers"] = {"Retry-After": wait}
    return {
        "operationId": "sendReadings",
        "summary": "Send readings",
        "security": [{"token": []}],
        "requestBody": {"required": True, "content": _json("Readings")},
        "responses": {"200": _told("What became of each reading, in order.", "Answers")} | refusals,
    }


def _get() -> dict[str, Any]:
    shown = {"application/json": {"schema": {"type": "object"}}}
    return {
        "operationId": "describe",
        "summary": "This description",
        "security": [],
        "responses": {"200": {"description": "This description.", "content": shown}},
    }


def _json(name: str) -> dict[str, Any]:
    return {"application/json": {"schema": {"$ref": f"#/components/schemas/{name}"}}}


def _told(what: str, name: str) -> dict[str, Any]:
    return {"description": what, "content": _json(name)}


def _reading() -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {column.name: _of(column) for column in READINGS.columns},
        "required": [column.name for column in READINGS.columns if column.required],
        "additionalProperties": False,
    }


def _of(column: Column) -> dict[str, Any]:
    if column.kind == "decimal":
        made: dict[str, Any] = {"type": ["number", "null"], "minimum": column.low, "maximum": column.high}
        made["description"] = f"{column.meaning}; at most {fields.DECIMALS} decimals"
        return made
    if column.kind == "instant":
        shown = {"type": "string", "format": "date-time", "pattern": _AT}
        return shown | {"description": f"{column.meaning}, in whole seconds"}
    if column.name == "source":
        return {"type": ["string", "null"], "maxLength": 200, "description": column.meaning}
    return _SHORT | {"description": column.meaning}


def _sent() -> dict[str, Any]:
    items = {"type": "array", "maxItems": MOST_READINGS, "items": {"$ref": "#/components/schemas/Reading"}}
    return {
        "type": "object",
        "properties": {"readings": items},
        "required": ["readings"],
        "additionalProperties": False,
    }


def _answer() -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {
            "status": {"enum": ["received", "refused"]},
            "id": {"type": "string"},
            "number": {"type": "integer", "description": "the garden's number of the entry"},
            "column": {"type": "string", "description": "of a refused one: which value is wrong"},
            "rule": {"type": "string", "description": "and what it must be"},
        },
        "required": ["status", "id"],
    }


def _answers() -> dict[str, Any]:
    answers = {"type": "array", "items": {"$ref": "#/components/schemas/Answer"}}
    return {
        "type": "object",
        "properties": {"v": {"const": 1}, "answers": answers},
        "required": ["v", "answers"],
    }


def _refusal() -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {"v": {"const": 1}, "error": {"type": "string"}, "reason": {"type": "string"}},
        "required": ["v", "error"],
    }
