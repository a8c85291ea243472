"""A link that misbehaves: a TCP proxy that cuts, delays, repeats and truncates, in both directions, by a seed.

It knows just enough of HTTP to see where a request ends; phones send one request a connection. Connections are served
one after the other, so that the same seed and the same phone give the same faults.
"""

import re
import socket
import struct
import threading
from collections import Counter
from random import Random

CHUNK_BYTES = 1024
PATIENCE_S = 60
LENGTH = re.compile(rb"\r\ncontent-length: *(\d+)", re.IGNORECASE)


class Proxy:
    """`with Proxy(port_of_the_server, seed, odds) as link:` phones use `link.port`. `odds`: a weight for each fault,
    by its method's name; `bytes_per_s` makes the link slow. `up_bytes` and `down_bytes` are what a phone pays for."""

    def __init__(self, upstream_port: int, seed: int, odds: dict[str, int], bytes_per_s: float | None = None):
        self.upstream, self.random = ("127.0.0.1", upstream_port), Random(seed)
        self.odds, self.bytes_per_s = odds, bytes_per_s
        self.happened: Counter[str] = Counter()
        self.up_bytes = self.down_bytes = 0
        self.seen: list[bytes] = []  # every whole request so far
        self.late: list[bytes] = []  # given up by the phone, and still on their way to the server

    def heal(self) -> None:
        """From now on nothing goes wrong; what is on its way arrives."""
        self.odds = {"pass_on": 1}

    # What can happen to an exchange. Each gets the phone's socket and the whole request.

    def pass_on(self, phone, request) -> None:
        self._give(phone, self._ask(request))

    def refuse(self, phone, request) -> None:
        reset(phone)

    def cut_request(self, phone, request) -> None:
        """The server gets a part, then a reset."""
        with socket.create_connection(self.upstream, PATIENCE_S) as server:
            server.sendall(self._part(request))
            reset(server)
        reset(phone)

    def truncate_request(self, phone, request) -> None:
        """The server gets a part, then a proper end; whatever it makes of that is the answer."""
        self._give(phone, self._ask(self._part(request), then_end=True))

    def cut_answer(self, phone, request) -> None:
        """The server did what was asked; the phone gets a part of the answer, or none, then a reset."""
        self._give(phone, self._part(self._ask(request)))
        reset(phone)

    def truncate_answer(self, phone, request) -> None:
        """The same with a proper end: only the announced length tells."""
        self._give(phone, self._part(self._ask(request)))

    def delay_request(self, phone, request) -> None:
        """Comes after the phone has given up, while a later request runs."""
        self.late.append(request)
        reset(phone)

    def delay_answer(self, phone, request) -> None:
        answer = self._ask(request)
        first = len(self._part(answer))
        self._give(phone, answer[:first])
        self._wait(self.random.uniform(0, 0.05))
        self._give(phone, answer[first:])

    def repeat_request(self, phone, request) -> None:
        """Twice, one after the other; the phone hears the second answer."""
        self._ask(request)
        self.pass_on(phone, request)

    def repeat_at_once(self, phone, request) -> None:
        """Twice at the same time; the phone hears one of the answers."""
        with self._meanwhile([request]):
            self.pass_on(phone, request)

    def repeat_old(self, phone, request) -> None:
        """Some request of the past, anybody's, once more, while this one runs."""
        with self._meanwhile([self.random.choice(self.seen)]):
            self.pass_on(phone, request)

    # How it is done.

    def _serve(self) -> None:
        while self._open:
            phone, _ = self._listener.accept()
            with phone:
                try:
                    self._exchange(phone)
                except OSError:
                    self.happened["broken"] += 1  # somebody hung up: to the other it's a cut like any

    def _exchange(self, phone) -> None:
        phone.settimeout(PATIENCE_S)
        if not (request := self._read_request(phone)):
            return
        self.seen.append(request)
        fault = self.random.choices([*self.odds], [*self.odds.values()])[0]
        self.happened[fault] += 1
        late, self.late = self.late, []
        with self._meanwhile(late):
            getattr(self, fault)(phone, request)

    def _read_request(self, phone) -> bytes:
        data, whole = b"", None
        while whole is None or len(data) < whole:
            if not (chunk := phone.recv(CHUNK_BYTES)):
                return b""
            data += chunk
            self.up_bytes += len(chunk)
            self._pace(chunk)
            if whole is None and (end := data.find(b"\r\n\r\n")) >= 0:
                length = LENGTH.search(data, 0, end)
                whole = end + 4 + (int(length[1]) if length else 0)
        return data

    def _ask(self, request: bytes, then_end: bool = False) -> bytes:
        """Send a request to the server and read until it closes."""
        with socket.create_connection(self.upstream, PATIENCE_S) as server:
            server.sendall(request)
            if then_end:
                server.shutdown(socket.SHUT_WR)
            return b"".join(iter(lambda: server.recv(65536), b""))

    def _give(self, phone, answer: bytes) -> None:
        for start in range(0, len(answer), CHUNK_BYTES):
            chunk = answer[start : start + CHUNK_BYTES]
            phone.sendall(chunk)
            self.down_bytes += len(chunk)
            self._pace(chunk)

    def _part(self, data: bytes) -> bytes:
        return data[: self.random.randrange(len(data) or 1)]

    def _pace(self, chunk: bytes) -> None:
        if self.bytes_per_s:
            self._wait(len(chunk) / self.bytes_per_s)

    def _wait(self, seconds: float) -> None:
        self._closing.wait(seconds)

    def _meanwhile(self, requests: list[bytes]) -> "_Meanwhile":
        return _Meanwhile(self._ask, requests)

    def __enter__(self) -> "Proxy":
        self._open, self._closing = True, threading.Event()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = self._listener.getsockname()[1]
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()
        return self

    def __exit__(self, *_) -> None:
        self._open = False
        self._closing.set()
        socket.create_connection(("127.0.0.1", self.port)).close()  # wakes it up
        self._thread.join()
        self._listener.close()


class _Meanwhile:
    """Requests that reach the server while the block runs; nobody hears their answers."""

    def __init__(self, ask, requests: list[bytes]):
        self.threads = [threading.Thread(target=ask, args=(request,)) for request in requests]

    def __enter__(self):
        for thread in self.threads:
            thread.start()

    def __exit__(self, *_):
        for thread in self.threads:
            thread.join()


def reset(connection: socket.socket) -> None:
    """End a connection as a lost one ends: at once, with what was on its way."""
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    connection.close()
