"""Evenpull's server. `create_app` is the only place where its parts are put together."""

import logging
from dataclasses import dataclass

from flask import Flask
from werkzeug.exceptions import HTTPException

from server.clock import Clock, now
from server.settings import Settings


@dataclass
class Running:
    """What the parts of one running server share."""

    settings: Settings
    clock: Clock


def create_app(settings: Settings, clock: Clock = now) -> Flask:
    """A Flask app on the store that `settings` names, which is made or brought up to date first."""
    from server.problems import Problem, handle_http, handle_problem
    from server.store.database import db, prepare_engine
    from server.store.setup import bring_up_to_date
    from server.web import compress, shell
    from server.web.blueprints import BLUEPRINTS

    app = Flask("server", static_folder=None)
    app.json.sort_keys = False
    app.config["SQLALCHEMY_DATABASE_URI"] = settings.database_url
    app.extensions["evenpull"] = Running(settings, clock)
    db.init_app(app)
    with app.app_context():
        prepare_engine(db.engine)
        bring_up_to_date(db.engine)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    app.register_error_handler(Problem, handle_problem)
    app.register_error_handler(HTTPException, handle_http)
    app.register_error_handler(Exception, _fault)
    app.after_request(compress.compress)
    app.after_request(shell.add_headers)
    return app


def _fault(error: Exception):
    from server.problems import Problem, handle_problem

    logging.getLogger("evenpull").error("a fault of ours", exc_info=error)
    return handle_problem(Problem(500, "nothing was stored; try again, and tell whoever looks after the server"))
