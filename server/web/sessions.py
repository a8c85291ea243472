"""Signing in and out, making a pairing code, using one, and the list of phones."""

from flask import Blueprint, jsonify, request
from marshmallow import RAISE, Schema, fields, validate

from server.clock import as_text, from_ms, to_ms
from server.fields import Id, Text
from server.problems import Problem
from server.store import access, queries
from server.store.database import reading, writing
from server.web.asking import clock, json_body, settings
from server.web.who import (
    MANAGER_COOKIE,
    PHONE_COOKIE,
    cookie_options,
    current_manager,
    current_phone,
    managers_only,
    phones_only,
)

bp = Blueprint("sessions", __name__)
DAY_S = 86_400
PHONE_COOKIE_DAYS = 400  # the longest that browsers keep one


class _Strict(Schema):
    class Meta:
        unknown = RAISE


class SignIn(_Strict):
    name = Text(60, required=True)
    password = fields.String(required=True, validate=validate.Length(1, 400))


class FirstManager(_Strict):
    token = fields.String(required=True, validate=validate.Length(1, 100))
    name = Text(60, required=True)
    password = fields.String(
        required=True, validate=validate.Length(12, 400, error="must have at least 12 characters: a few words do")
    )


class NewPairing(_Strict):
    site_id = Id(required=True)


class Pair(_Strict):
    code = fields.String(required=True, validate=validate.Length(1, 40))
    name = Text(60, load_default="phone")


@bp.post("/api/session")
def sign_in():
    """The manager signs in; the answer sets a cookie."""
    asked = json_body(SignIn())
    with writing() as session:
        token = access.sign_in(session, asked["name"], asked["password"], to_ms(clock()), settings().session_days)
    if token is None:
        raise Problem(401, "name and password don't belong together: type both again")
    answer = jsonify(name=asked["name"])
    answer.set_cookie(MANAGER_COOKIE, token, max_age=settings().session_days * DAY_S, **cookie_options())
    return answer


@bp.post("/api/first-manager")
def make_first_manager():
    """Uses up the one-time link of the first start, and signs the new manager in."""
    asked = json_body(FirstManager())
    now_ms = to_ms(clock())
    with writing() as session:
        if access.any_manager(session) or not access.use_setup_link(session, asked["token"], now_ms):
            text = "is used up or too old: start the server again for a new link"
            raise Problem(422, "not made", {"token": [text]})
        access.add_manager(session, asked["name"], asked["password"])
        token = access.sign_in(session, asked["name"], asked["password"], now_ms, settings().session_days)
    answer = jsonify(name=asked["name"])
    answer.set_cookie(MANAGER_COOKIE, token, max_age=settings().session_days * DAY_S, **cookie_options())
    return answer, 201


@bp.get("/api/session")
@managers_only
def who_is_signed_in():
    return jsonify(name=current_manager().name)


@bp.delete("/api/session")
def sign_out():
    """Ends the session; harmless if there is none."""
    if token := request.cookies.get(MANAGER_COOKIE):
        with writing() as session:
            access.sign_out(session, token)
    answer = jsonify(signed_out=True)
    answer.delete_cookie(MANAGER_COOKIE, **cookie_options())
    return answer


@bp.post("/api/pairings")
@managers_only
def make_code():
    """A code that pairs one phone to a site: typed in the app, used once, gone after ten minutes."""
    site_id = json_body(NewPairing())["site_id"]
    now_ms = to_ms(clock())
    with writing() as session:
        if site_id not in queries.by_ids(session, "site", [site_id]):
            raise Problem(422, "there is no such site", {"site_id": ["names no site: pick one from the list"]})
        code = access.new_code(session, site_id, now_ms, settings().pairing_minutes)
    expires = from_ms(now_ms + settings().pairing_minutes * access.MINUTE_MS)
    return jsonify(code=f"{code[:4]}-{code[4:]}", site_id=site_id, expires_at=as_text(expires)), 201


@bp.post("/api/pair")
def use_code():
    """Pairs this phone: sets its cookie. A phone that was paired before keeps its identity under the new pairing."""
    asked = json_body(Pair())
    with writing() as session:
        paired = access.pair(session, asked["code"], asked["name"], to_ms(clock()))
        if paired is None:
            text = "is wrong, used already, or more than ten minutes old: ask for a new one"
            raise Problem(422, "not paired", {"code": [text]})
        phone, token = paired
        body = _phone_body(phone)
    answer = jsonify(**body, server_time=as_text(clock()))
    answer.set_cookie(PHONE_COOKIE, token, max_age=PHONE_COOKIE_DAYS * DAY_S, **cookie_options())
    return answer


@bp.get("/api/phone")
@phones_only
def this_phone():
    """Which phone this is and which site it is paired to."""
    return jsonify(_phone_body(current_phone()))


@bp.get("/api/phones")
@managers_only
def list_phones():
    """Every phone and script, with when it was last heard from and what waits on it."""
    with reading() as session:
        return jsonify(items=[_listed(phone) for phone in access.phones(session)])


@bp.delete("/api/phones/<phone_id>")
@managers_only
def revoke_phone(phone_id: str):
    """Takes a phone's pairing away, from its next request on. What waits on it stays on it."""
    with writing() as session:
        phone = next((p for p in access.phones(session) if p.id == phone_id), None)
        if phone is None:
            raise Problem(404, "there is no such phone")
        access.revoke(session, phone, to_ms(clock()))
        return jsonify(_listed(phone))


def _phone_body(phone) -> dict:
    return {"phone_id": phone.id, "name": phone.name, "site_id": phone.site_id}


def _listed(phone) -> dict:
    seen = as_text(from_ms(phone.last_seen_ms)) if phone.last_seen_ms else None
    return {
        **_phone_body(phone),
        "is_script": phone.is_script,
        "paired_at": as_text(from_ms(phone.paired_ms)),
        "last_seen_at": seen,
        "waiting": phone.waiting,
        "app": phone.app,
        "revoked": phone.revoked_ms is not None,
    }
