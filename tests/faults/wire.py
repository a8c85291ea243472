"""What a phone sends its requests by: one connection each, gzip both ways, a cookie kept; whole answers or none."""

import gzip
import json
import zlib
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException

PATIENCE_S = 60  # as long as static/sync/wire.js waits
WORTH_PACKING_BYTES = 2_048  # and what it finds worth packing


class NoAnswer(Exception):
    """No server in reach, or its answer didn't arrive whole: what was asked may have been done or not."""


@dataclass
class Answer:
    status_code: int
    json: dict


class Http:
    """Stands in for Flask's test client under `tests.world.Phone`, over a real connection."""

    def __init__(self, port: int, cookie: str = ""):
        self.port, self.cookie = port, cookie

    def post(self, path: str, json: dict) -> Answer:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            connection.request("POST", path, *_packed(json, self.cookie))
            response = connection.getresponse()
            answer = Answer(response.status, _content(response))
        except (OSError, HTTPException, ValueError, EOFError, zlib.error) as broken:
            raise NoAnswer(str(broken)) from broken
        finally:
            connection.close()
        if given := response.headers.get("Set-Cookie"):
            self.cookie = given.split(";")[0]
        return answer


def _packed(body: dict, cookie: str) -> tuple[bytes, dict]:
    data = json.dumps(body).encode()
    headers = {"Content-Type": "application/json", "Accept-Encoding": "gzip", "Connection": "close"}
    headers["Cookie"] = cookie
    if len(data) < WORTH_PACKING_BYTES:
        return data, headers
    return gzip.compress(data), {**headers, "Content-Encoding": "gzip"}


def _content(response) -> dict:
    data = response.read()  # raises IncompleteRead where less came than was announced
    return json.loads(gzip.decompress(data) if response.headers.get("Content-Encoding") == "gzip" else data)
