"""The one shape of an error over HTTP: application/problem+json (RFC 9457), with the field and the remedy."""

from flask import Response, json
from werkzeug.exceptions import HTTPException

TITLES = {
    400: "That request can't be read",
    401: "Sign in, or pair this phone, first",
    403: "Not allowed",
    404: "Not there",
    405: "Not done this way",
    409: "Out of step",
    413: "Too large",
    415: "Wrong content type",
    422: "Some of that can't be taken",
    429: "Too many tries",
    500: "A fault of ours",
    503: "Not now",
}


class Problem(Exception):
    """Raised anywhere below a route; becomes the answer."""

    def __init__(self, status: int, detail: str, errors: dict | None = None, headers: dict | None = None, **more):
        super().__init__(detail)
        self.status, self.detail, self.errors, self.headers, self.more = status, detail, errors, headers or {}, more

    def response(self) -> Response:
        body = {"type": "about:blank", "title": TITLES.get(self.status, "Refused"), "status": self.status}
        body |= {"detail": self.detail, **self.more}
        if self.errors is not None:
            body["errors"] = self.errors
        answer = Response(json.dumps(body), self.status, content_type="application/problem+json")
        answer.headers.update(self.headers)
        return answer


def handle_problem(problem: Problem) -> Response:
    return problem.response()


def handle_http(error: HTTPException) -> Response:
    """Werkzeug's own refusals in our shape, with the headers that belong to them (Allow, Retry-After)."""
    headers = {name: value for name, value in error.get_headers() if name.lower() != "content-type"}
    return Problem(error.code or 500, error.description or "", headers=headers).response()
