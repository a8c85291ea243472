"""`POST /api/compute/{name}`: the computations, stateless."""

from flask import Blueprint, jsonify

from server.ask.question import QuestionRefused
from server.ask.registry import questions
from server.problems import Problem
from server.web.asking import json_body
from server.web.who import known_only

bp = Blueprint("compute", __name__)


@bp.post("/api/compute/<name>")
@known_only
def compute(name: str):
    """Answers one question from its request alone; nothing is stored."""
    question = questions().get(name)
    if question is None:
        raise Problem(404, f"nothing here computes {name}: one of {', '.join(sorted(questions()))}")
    try:
        return jsonify(question.ask(json_body()))
    except QuestionRefused as refused:
        raise Problem(422, "that can't be computed", refused.errors) from refused
