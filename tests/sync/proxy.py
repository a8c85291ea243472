"""A TCP proxy that does to a connection what the world does: cuts it either way, truncates, delays, repeats."""

import contextlib
import socket
import threading

FAULTS = ("cut_request", "cut_answer", "repeat", "delay", "none")
PIECE = 2048
PATIENCE_S = 60


class Proxy:
    """`with Proxy(host, port) as proxy:` listens on `proxy.url`; each connection meets the next of `proxy.faults`.

    A fault is (name, after): `after` says how many bytes pass before the cut, or how many pieces are held back until
    the other connections have come through. One request per connection, as `Connection: close` has it.
    """

    def __init__(self, host: str, port: int):
        self.target, self.faults, self.met = (host, port), [], []
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
                fault = self.faults.pop(0) if self.faults else ("none", 0)
                self.met.append(fault[0])
                worker = threading.Thread(target=self._serve, args=(client, *fault))
                worker.start()
                self.workers.append(worker)

    def _serve(self, client: socket.socket, fault: str, after: int) -> None:
        with client, contextlib.suppress(OSError):
            request = read_request(client)
            if fault == "cut_request":
                self._send(request[: min(after, len(request) - 1)], hear=False)
                return
            if fault == "repeat":
                self._send(request, hear=True)
            answer = self._send(request, hear=True)
            if fault == "delay":
                threading.Event().wait(after / 1000)
            client.sendall(answer[: min(after, len(answer) - 1)] if fault == "cut_answer" else answer)

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
