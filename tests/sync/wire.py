"""A phone's way to a server that runs as a process of its own: real sockets, which can die under it."""

import datetime as dt
import http.client
import json
from collections import Counter
from urllib.parse import urlsplit

from server.clock import now

PATIENCE_S = 60


class Wire:
    """Stands where `Shop` stands for a PythonPhone; a request that comes to nothing is heard as None."""

    def __init__(self, url: str):
        self.address, self.cookie = urlsplit(url).netloc, ""
        self.bytes = Counter()

    def pair(self, code: str) -> dict:
        heard = self.answer("", "/api/pair", json.dumps({"code": code, "name": "bar phone"}))
        assert heard["status"] == 200, heard["body"]
        self.cookie = heard["headers"]["Set-Cookie"].split(";")[0]
        return json.loads(heard["body"])

    def clock(self) -> dt.datetime:
        return now()

    def answer(self, name: str, path: str, body: str) -> dict | None:
        connection = http.client.HTTPConnection(self.address, timeout=PATIENCE_S)
        headers = {"Content-Type": "application/json", "Cookie": self.cookie, "Connection": "close"}
        try:
            connection.request("POST", path, body.encode(), headers)
            response = connection.getresponse()
            text = response.read()
        except (OSError, http.client.HTTPException):
            return None
        finally:
            connection.close()
        self.bytes.update(up=len(body), down=len(text))
        return {"status": response.status, "headers": dict(response.headers), "body": text.decode()}
