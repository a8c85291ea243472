"""The OpenAPI 3.1 document, made from the schemas: what is checked and what is written down can't differ."""

from functools import cache

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from flask import Blueprint, jsonify
from marshmallow import Schema

from server.ask.registry import questions
from server.fields import UUID_7_OR_8, Id, Instant, LocalDate, Quantity
from server.records.kind import Kind, RecordSchema
from server.records.kinds import KINDS
from server.sync.envelope import EntrySchema, RoundSchema
from server.web.dashboard import DashboardArguments
from server.web.export import ExportArguments
from server.web.health import app_version
from server.web.records import ListArguments, Redaction
from server.web.sessions import FirstManager, NewPairing, Pair, SignIn

bp = Blueprint("openapi", __name__)
OPEN: list = []
PROBLEM = {"$ref": "#/components/responses/Problem"}


@bp.get("/api/openapi.json")
def openapi_document():
    return jsonify(document())


def _schema_name(schema: type | Schema) -> str:
    schema_class = schema if isinstance(schema, type) else type(schema)
    partial = not isinstance(schema, type) and schema.partial
    asked = "Compute" if schema_class.__module__.startswith("server.ask") else ""  # a water asked about isn't a record
    return asked + schema_class.__name__.removesuffix("Schema") + ("Change" if partial else "")


@cache
def document() -> dict:
    """The whole document, as plain values."""
    plugin = MarshmallowPlugin(schema_name_resolver=_schema_name)
    spec = APISpec(
        title="Evenpull",
        version=app_version(),
        openapi_version="3.1.0",
        info={"description": "Shots, bags, waters and milk of a bar, with their computed figures."},
        plugins=[plugin],
    )
    for field, kind, form in ((Quantity, "number", None), (Instant, "string", "date-time"), (Id, "string", "uuid")):
        plugin.map_to_openapi_type(field, kind, form)
    plugin.map_to_openapi_type(LocalDate, "string", "date")
    plugin.converter.add_attribute_function(_own_bounds)
    _components(spec)
    for kind in KINDS.values():
        _record_paths(spec, kind)
    for question in questions().values():
        spec.path(
            f"/api/compute/{question.name}",
            operations={"post": _operation(question.summary, question.request, _json(question.response), "compute")},
        )
    _fixed_paths(spec)
    made = spec.to_dict()
    _close(made)
    return made


def _own_bounds(converter, field, **kwargs) -> dict:
    """A field of ours says its own type and bounds in its metadata."""
    names = (
        "type",
        "format",
        "pattern",
        "minimum",
        "maximum",
        "exclusiveMinimum",
        "minLength",
        "maxLength",
        "uniqueItems",
    )
    bounds = {name: field.metadata[name] for name in names if name in field.metadata}
    if field.allow_none and "type" in bounds:
        bounds["type"] = [bounds["type"], "null"]
    return bounds


def _close(made: dict) -> None:
    """Unknown fields are refused, so the document says so."""
    for name, schema in made["components"]["schemas"].items():
        if schema.get("type") == "object" and name in made["x-closed"]:
            schema["additionalProperties"] = False
    del made["x-closed"]


def _components(spec: APISpec) -> None:
    spec.components.schema(
        "Problem",
        {
            "type": "object",
            "description": "RFC 9457; `errors` names each field at fault with what to do about it",
            "required": ["type", "title", "status", "detail"],
            "properties": {
                "type": {"type": "string"},
                "title": {"type": "string"},
                "status": {"type": "integer"},
                "detail": {"type": "string"},
                "errors": {"type": "object", "additionalProperties": {"type": "array", "items": {"type": "string"}}},
            },
        },
    )
    problem = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
    spec.components.response("Problem", {"description": "what is wrong, and the remedy", "content": problem})
    spec.components.security_scheme("manager", {"type": "apiKey", "in": "cookie", "name": "evenpull_manager"})
    spec.components.security_scheme("phone", {"type": "apiKey", "in": "cookie", "name": "evenpull_phone"})
    spec.components.security_scheme("token", {"type": "http", "scheme": "bearer"})
    spec.components.schema("Entry", schema=EntrySchema)
    closed = [_schema_name(schema) for schema in (RoundSchema, Redaction, SignIn, FirstManager, NewPairing, Pair)]
    closed += [_schema_name(kind.schema) for kind in KINDS.values()]
    closed += [_schema_name(kind.schema(partial=True)) for kind in KINDS.values()]
    closed += [_schema_name(question.request) for question in questions().values()]
    spec.options["x-closed"] = closed


def _json(schema=None) -> dict:
    """A good answer's content: a schema's, or any object."""
    shape = schema if schema is not None else {"type": "object"}
    return {"description": "the answer", "content": {"application/json": {"schema": shape}}}


def _file(media_type: str) -> dict:
    return {"description": "the file", "content": {media_type: {"schema": {"type": "string"}}}}


def _operation(summary, body=None, answer=None, tag="", secured=True, parameters=(), made=False) -> dict:
    operation = {
        "summary": summary,
        "tags": [tag],
        "responses": {"200": answer or _json(), "default": PROBLEM},
        "parameters": list(parameters),
    }
    if made:
        operation["responses"]["201"] = answer or _json()
    if body is not None:
        operation["requestBody"] = {"required": True, "content": {"application/json": {"schema": body}}}
    operation["security"] = [{"manager": []}, {"phone": []}, {"token": []}] if secured else OPEN
    return operation


def _path_id(name: str) -> dict:
    return {"name": name, "in": "path", "required": True, "schema": {"type": "string", "pattern": UUID_7_OR_8}}


def _record_paths(spec: APISpec, kind: Kind) -> None:
    many, one, word = f"/api/{kind.plural}", f"/api/{kind.plural}/{{record_id}}", kind.name.replace("_", " ")
    key = {"name": "Idempotency-Key", "in": "header", "schema": {"type": "string", "minLength": 1, "maxLength": 200}}
    arguments = {"in": "query", "schema": ListArguments}
    change: RecordSchema = kind.schema(partial=True)
    operations = {
        "get": _operation(f"{word} records with their figures", tag=kind.plural, parameters=[arguments]),
        "post": _operation(f"make one {word}", kind.schema, tag=kind.plural, parameters=[key], made=True),
    }
    spec.path(many, operations=operations)
    with_id = {"tag": kind.plural, "parameters": [_path_id("record_id")]}
    operations = {
        "get": _operation(f"one {word}", **with_id),
        "patch": _operation(f"change some fields of a {word}", change, **with_id),
        "delete": _operation(f"withdraw a {word}", **with_id),
    }
    spec.path(one, operations=operations)
    redact = _operation(f"empty fields of an entry about a {word}", Redaction, made=True, **with_id)
    spec.path(f"{one}/redactions", operations={"post": redact})
    spec.path(f"{one}/history", operations={"get": _operation(f"every entry about a {word}", **with_id)})


def _fixed_paths(spec: APISpec) -> None:
    part = {"name": "part", "in": "path", "required": True}
    part["schema"] = {"enum": ["plan", "calendar", "water", "advice"]}
    days = {"in": "query", "schema": DashboardArguments}
    kind = {"name": "kind", "in": "path", "required": True, "schema": {"enum": [one.plural for one in KINDS.values()]}}
    export = {"tag": "manager", "parameters": [kind, {"in": "query", "schema": ExportArguments}]}
    table, lines = _file("text/csv"), _file("application/jsonl")
    paths = {
        "/api/sync": {"post": _operation("one round of the sync protocol", RoundSchema, tag="phones")},
        "/api/sheet/{part}": {"get": _operation("a part of the sheet", tag="phones", parameters=[part])},
        "/api/dashboard": {"get": _operation("the manager's figures", tag="manager", parameters=[days])},
        "/api/session": {
            "post": _operation("sign in", SignIn, tag="manager", secured=False),
            "get": _operation("who is signed in", tag="manager"),
            "delete": _operation("sign out", tag="manager", secured=False),
        },
        "/api/first-manager": {
            "post": _operation("make the first manager", FirstManager, tag="manager", secured=False, made=True)
        },
        "/api/pairings": {"post": _operation("make a pairing code", NewPairing, tag="manager", made=True)},
        "/api/pair": {"post": _operation("pair this phone", Pair, tag="phones", secured=False)},
        "/api/phone": {"get": _operation("which phone this is", tag="phones")},
        "/api/phones": {"get": _operation("every phone", tag="manager")},
        "/api/phones/{phone_id}": {
            "delete": _operation("revoke a phone", tag="manager", parameters=[_path_id("phone_id")])
        },
        "/api/export/{kind}.csv": {"get": _operation("a table of records", answer=table, **export)},
        "/api/export/{kind}.jsonl": {"get": _operation("records as JSON lines", answer=lines, **export)},
        "/api/health": {"get": _operation("is it up", tag="server", secured=False)},
        "/api/openapi.json": {"get": _operation("this document", tag="server", secured=False)},
    }
    for path, operations in paths.items():
        spec.path(path, operations=operations)
