"""Connections that say nothing, or too little, hold nobody up."""

import http.client
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import pytest

from clubsite import server as module
from clubsite.management.commands.serve import server_settings
from clubsite.server import Server


def answer(environ, start_response):
    environ["wsgi.input"].read()
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [environ["REQUEST_METHOD"].encode()]


@contextmanager
def serving(*, headers_s: float = 20, body_s: float = 300) -> Iterator[int]:
    """The site's server with an application of one word; its port."""
    settings = server_settings("127.0.0.1", 0)
    server = Server(answer, headers_s=headers_s, body_s=body_s, **settings)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        yield int(server.effective_port)
    finally:
        server.task_dispatcher.shutdown()
        server.asyncore.close_all(server._map)  # the loop ends with the last of its files
        thread.join(10)
        assert not thread.is_alive()


def ask(port: int, body: bytes | None = None) -> str:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("POST" if body else "GET", "/", body=body)
    text = connection.getresponse().read().decode()
    connection.close()
    return text


def is_let_go(connection: socket.socket) -> bool:
    """Whether the server ends the connection; waits for it."""
    connection.settimeout(10)
    try:
        return b"" in iter(lambda: connection.recv(4096), None)
    except ConnectionResetError:
        return True


def open_to(port: int, sent: bytes = b"") -> socket.socket:
    connection = socket.create_connection(("127.0.0.1", port), timeout=10)
    connection.sendall(sent)
    return connection


@pytest.mark.parametrize(
    "sent",
    [b"", b"GET / HTTP/1.1\r\nHost: a\r\n", b"POST / HTTP/1.1\r\nContent-Length: 9\r\n\r\nab"],
)
def test_a_request_that_is_never_whole_is_let_go(sent: bytes):
    with serving(headers_s=0.2, body_s=0.3) as port, open_to(port, sent) as half:
        began = time.monotonic()
        assert is_let_go(half)
        assert time.monotonic() - began < 5
        assert ask(port) == "GET"


def test_a_byte_now_and_then_does_not_keep_a_connection():
    with serving(headers_s=0.3) as port, open_to(port, b"GET / HTTP/1.1\r\n") as half:
        half.settimeout(0.05)
        ended = False
        for _ in range(100):
            try:
                half.sendall(b"X")
                ended = half.recv(4096) == b""
            except TimeoutError:
                continue
            except (ConnectionResetError, BrokenPipeError):
                ended = True
            if ended:
                break
        assert ended


def test_whole_requests_are_answered_however_many_connections_say_nothing(monkeypatch):
    monkeypatch.setattr(module, "HOST_CONNECTIONS", 10)
    with ExitStack() as stack, serving() as port:
        silent = [stack.enter_context(open_to(port)) for _ in range(30)]
        for body in (None, b"a" * 100_000):
            assert ask(port, body) == ("POST" if body else "GET")
        assert is_let_go(silent[0])


def test_the_limits_are_these():
    # OWASP ASVS 5.0, 15.1.3 and 15.2.2, ask for a defence against requests that cost time; the
    # numbers are our own choice.
    assert (module.HEADERS_S, module.BODY_S, module.IDLE_S) == (20, 300, 30)
    assert (module.CONNECTIONS, module.HOST_CONNECTIONS) == (1_000, 200)
