"""Reads a request's body: its type, its size, its compression, its JSON, its schema. Refuses with a clear problem."""

import json
import zlib

from flask import current_app, request
from marshmallow import Schema, ValidationError

from server.fields import flat
from server.problems import Problem


def settings():
    return current_app.extensions["evenpull"].settings


def clock():
    """The server's clock as an instant; tests set their own."""
    return current_app.extensions["evenpull"].clock()


def json_body(schema: Schema | None = None) -> dict:
    """The request's JSON object, checked by `schema` if one is given.

    Problems: 415 another content type, 413 too large, 400 broken JSON, 422 the schema's errors by field.
    """
    if request.mimetype != "application/json":
        raise Problem(415, "send Content-Type: application/json")
    body = _parse(_inflated(_raw()))
    if not isinstance(body, dict):
        raise Problem(422, "the body must be one JSON object", {"body": ["must be one JSON object: send {...}"]})
    if schema is None:
        return body
    return checked(schema, body)


def query_arguments(schema: Schema) -> dict:
    """The query string's arguments, checked by `schema`; each may be given once."""
    repeated = [name for name, values in request.args.lists() if len(values) > 1]
    if repeated:
        raise Problem(422, "an argument is given twice", {name: ["give it once"] for name in repeated})
    return checked(schema, request.args.to_dict())


def checked(schema: Schema, body: dict) -> dict:
    try:
        return schema.load(body)
    except ValidationError as wrong:
        raise Problem(422, "some fields can't be taken", flat(wrong.normalized_messages())) from wrong


def _too_large(limit: int) -> Problem:
    return Problem(413, f"a request may hold {limit} bytes: send less at a time", limit_bytes=limit)


def _raw() -> bytes:
    limit = settings().body_limit_bytes
    if request.content_length is not None and request.content_length > limit:
        raise _too_large(limit)
    data = request.stream.read(limit + 1)
    if len(data) > limit:
        raise _too_large(limit)
    return data


def _inflated(data: bytes) -> bytes:
    """Undo gzip, but never into more than the limit: a small body can hold a huge one."""
    encoding = request.headers.get("Content-Encoding", "identity").strip().lower()
    if encoding in ("", "identity"):
        return data
    if encoding != "gzip":
        raise Problem(415, "Content-Encoding may be gzip, or left out")
    limit = settings().body_limit_bytes
    inflater = zlib.decompressobj(wbits=31)
    try:
        inflated = inflater.decompress(data, limit + 1)
    except zlib.error as wrong:
        raise Problem(400, "the body is not valid gzip: send it again") from wrong
    if len(inflated) > limit:
        raise _too_large(limit)
    if not inflater.eof:
        raise Problem(400, "the gzip body is cut short: send it again")
    return inflated


def _parse(data: bytes) -> object:
    try:
        return json.loads(data)
    except (ValueError, RecursionError) as wrong:
        raise Problem(400, "the body is not valid JSON: check quotes, commas and brackets") from wrong
