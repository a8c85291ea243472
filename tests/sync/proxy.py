"""A TCP proxy that does to a connection what the world does: cuts it either way, truncates, delays, repeats."""

import contextlib
import math
import socket
import threading

FAULTS = ("cut_request", "cut_answer", "repeat", "delay", "none")
PIECE = 2048
PATIENCE_S = 60


class Proxy:
    """`with Proxy(host, port) as proxy:` listens on `proxy.url`; each request meets the next of `proxy.faults`.

    A fault is (name, after): `after` says how many bytes pass before the cut, or how many milliseconds an answer is
    held back. `only` leaves every request alone that doesn't begin with it; `bytes_s` is how fast the others travel.
    One request per connection, as servers have it that speak HTTP/1.0 or are asked for `Connection: close`.
    """

    def __init__(self, host: str, port: int, only: bytes = b"", bytes_s: float = math.inf):
        self.target, self.only, self.bytes_s = (host, port), only, bytes_s
        self.faults, self.met, self.up, self.down = [], [], 0, 0
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self.listener.getsockname()[1]}"
        self.workers = []

    def __enter__(self):
        self.accepting = threading.Thread(target=self._accept)
        self.accepting.start()
        return self

    def __exit__(self, *_):
        self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()
        for worker in [self.accepting, *self.workers]:
            worker.join()

    def _accept(self) -> None:
        with contextlib.suppress(OSError):  # closed: the end
            while True:
                client, _ = self.listener.accept()
                client.settimeout(PATIENCE_S)
                worker = threading.Thread(target=self._serve, args=(client,))
                worker.start()
                self.workers.append(worker)

    def _serve(self, client: socket.socket) -> None:
        with client, contextlib.suppress(OSError):
            request = read_request(client)
            if request.startswith(self.only):
                self._meet(client, request, *(self.faults.pop(0) if self.faults else ("none", 0)))
            else:
                client.sendall(self._send(request, hear=True))

    def _meet(self, client: socket.socket, request: bytes, fault: str, after: int) -> None:
        self.met.append(fault)
        self._travel(len(request))
        self.up += len(request)
        if fault == "cut_request":
            self._send(request[: min(after, len(request) - 1)], hear=False)
            return
        if fault == "repeat":
            self._send(request, hear=True)
        answer = self._send(request, hear=True)
        if fault == "delay":
            threading.Event().wait(after / 1000)
        heard = answer[: min(after, len(answer) - 1)] if fault == "cut_answer" else answer
        self._travel(len(heard))
        self.down += len(heard)
        client.sendall(heard)

    def _travel(self, many: int) -> None:
        threading.Event().wait(many / self.bytes_s)

    def _send(self, request: bytes, hear: bool) -> bytes:
        with socket.create_connection(self.target, timeout=PATIENCE_S) as server:
            server.sendall(request)
            return read_all(server) if hear else b""


def read_all(source: socket.socket) -> bytes:
    pieces = []
    while piece := source.recv(PIECE):
        pieces.append(piece)
    return b"".join(pieces)


def read_request(client: socket.socket) -> bytes:
    """A request's head and as much body as it announces."""
    data = b""
    while b"\r\n\r\n" not in data:
        data += received(client)
    head, _, body = data.partition(b"\r\n\r\n")
    lengths = [
        line.split(b":")[1] for line in head.split(b"\r\n") if line.lower().startswith(b"content-length:")
    ]
    while len(body) < int(lengths[0] if lengths else 0):
        body += received(client)
    return head + b"\r\n\r\n" + body


def received(client: socket.socket) -> bytes:
    piece = client.recv(PIECE)
    if not piece:
        raise OSError("hung up in the middle of a request")
    return piece
