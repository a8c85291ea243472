"""The OpenAPI document against the specification's own schema, and the server against the document."""

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import seed as hypothesis_seed
from hypothesis import strategies as st
from openapi_spec_validator import OpenAPIV31SpecValidator, validate
from schemathesis import GenerationMode

from server.web.openapi import document


def test_the_document_is_valid_openapi_3_1():
    """Against the OpenAPI Initiative's JSON Schema of version 3.1, by openapi-spec-validator."""
    validate(document(), cls=OpenAPIV31SpecValidator)


def test_every_route_of_the_api_is_in_the_document(app):
    paths = set(document()["paths"])
    for rule in app.url_map.iter_rules():
        if rule.rule.startswith("/api/") and "<plural>" not in rule.rule and rule.rule != "/api/demo":
            written = rule.rule.replace("<", "{").replace(">", "}").replace("{name}", "extraction")
            assert written in paths, rule.rule


def test_the_schemas_say_that_unknown_fields_are_refused_and_what_is_needed():
    shot = document()["components"]["schemas"]["Shot"]

    assert shot["additionalProperties"] is False
    assert {"pulled_at", "dose_g", "yield_g", "time_s"} <= set(shot["required"])
    assert shot["properties"]["dose_g"]["type"] == "number" and shot["properties"]["dose_g"]["maximum"] == 250


def send_generated(app, cookies: dict[str, str], cases: int, seed: int) -> list:
    """Send generated requests, spread over the document's operations, good and bad; return (label, answer)s."""
    schema = schemathesis.openapi.from_wsgi("/api/openapi.json", app)
    operations = [found.ok() for found in schema.get_all_operations()]
    # Signing out would make every later case a 401.
    operations = [o for o in operations if o.label not in ("DELETE /api/session", "DELETE /api/phones/{phone_id}")]
    modes = (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
    either = st.tuples(st.sampled_from(operations), st.sampled_from(modes))
    seen = []

    @hypothesis_seed(seed)
    @settings(max_examples=cases, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(case=either.flatmap(lambda chosen: chosen[0].as_strategy(generation_mode=chosen[1])))
    def send(case):
        seen.append((case.operation.label, case.call(cookies=cookies)))

    send()
    return seen


def check_generated(app, manager, cases: int, seed: int) -> None:
    """No request, however it is made up, is a fault of ours; what isn't JSON is never an answer."""
    cookie = manager.http.get_cookie("evenpull_manager")
    seen = send_generated(app, {"evenpull_manager": cookie.value}, cases, seed)
    faults = [(label, answer.status_code, answer.text[:300]) for label, answer in seen if answer.status_code >= 500]
    assert faults == []
    assert len(seen) >= cases
    assert {answer.status_code for _, answer in seen} >= {200, 404, 422}


def test_two_hundred_generated_requests_meet_no_fault(app, manager, site_id):
    check_generated(app, manager, cases=200, seed=1)


@pytest.mark.nightly
def test_five_thousand_generated_requests_meet_no_fault(app, manager, site_id):
    check_generated(app, manager, cases=5000, seed=2)
