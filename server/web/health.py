"""`GET /api/health`: is it up, and is its store well."""

from importlib.metadata import PackageNotFoundError, version

from flask import Blueprint, current_app, jsonify
from sqlalchemy import select

from server.problems import Problem
from server.store.database import reading
from server.store.tables import StoreState

bp = Blueprint("health", __name__)


def app_version() -> str:
    try:
        return version("evenpull")
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "0"


@bp.get("/api/health")
def health():
    """200 while the store answers; no secrets."""
    with reading() as session:
        seq = session.execute(select(StoreState.seq)).scalar_one()
    return jsonify(status="ok", version=app_version(), store={"status": "ok", "entries": seq})


@bp.get("/api/demo")
def demo_facts():
    """The demo's sign-in and pairing codes, for its landing page; nothing anywhere else."""
    running = current_app.extensions["evenpull"].settings
    if not running.demo:
        raise Problem(404, "there is no demo here")
    return jsonify(running.demo_facts)
