"""A connection that dawdles is ended, and stops no other; a browser that leaves is taken calmly."""

from __future__ import annotations

import http.client
import logging
import socket
import struct
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from posekit import serve
from posekit.serve.patience import PatientProtocol

HEAD = b"GET /large.js HTTP/1.1\r\nHost: 127.0.0.1\r\n"
LARGE = 50_000_000
pytestmark = pytest.mark.native


class Hasty(PatientProtocol):
    """Waits for a second at most, and for few."""

    request_s, answer_s, most = 1.0, 1.0, 20


@pytest.fixture
def server(tmp_path: Path) -> Iterator[serve.Server]:
    (tmp_path / "index.html").write_text("here")
    (tmp_path / "large.js").write_bytes(bytes(LARGE))
    with serve.running(serve.Site((tmp_path,)), protocol=Hasty) as server:
        yield server


def connect(server: serve.Server) -> socket.socket:
    return socket.create_connection(("127.0.0.1", server.port), 30)


def is_answered(server: serve.Server) -> bool:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=30)
    connection.request("GET", "/")
    content = connection.getresponse().read()
    connection.close()
    return content == b"here"


def is_ended(connection: socket.socket) -> bool:
    """Whether the other side ends the connection while nothing more is sent."""
    try:
        return connection.recv(1) == b""
    except ConnectionError:
        return True


@pytest.mark.parametrize("sent", [b"", b"GET", HEAD, HEAD + b"Content-Length: 10\r\n\r\nabc"])
def test_a_request_that_never_comes_to_its_end_is_not_waited_for(server: serve.Server, sent: bytes) -> None:
    with connect(server) as connection:
        connection.sendall(sent)
        connection.settimeout(30)
        if b"Content-Length" in sent:  # it was asked all the same, and is answered
            while connection.recv(1 << 20):
                pass
        else:
            assert is_ended(connection)


def test_a_request_that_comes_byte_by_byte_gets_no_more_time_by_it(server: serve.Server) -> None:
    with connect(server) as connection:
        begin = time.monotonic()
        with pytest.raises(ConnectionError):
            for _ in range(600):
                connection.sendall(b"x")
                time.sleep(0.05)
        assert time.monotonic() - begin < 25


def test_a_browser_that_takes_nothing_of_its_answer_is_let_go(server: serve.Server) -> None:
    with connect(server) as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65536)
        connection.sendall(HEAD + b"\r\n")
        time.sleep(3.0)
        taken = 0
        with pytest.raises(ConnectionError):
            while block := connection.recv(1 << 20):
                taken += len(block)
            raise ConnectionError  # ended in order, which is as good
        assert taken < LARGE


def test_those_that_dawdle_stop_no_other(server: serve.Server) -> None:
    with ExitStack() as stack:
        for _ in range(15):
            stack.enter_context(connect(server)).sendall(b"GET / HT")
        assert is_answered(server)


def test_where_there_are_too_many_the_one_that_has_waited_longest_goes(server: serve.Server) -> None:
    with ExitStack() as stack:
        waiting = [stack.enter_context(connect(server)) for _ in range(Hasty.most)]
        assert is_answered(server)
        waiting[0].settimeout(0.5)
        assert is_ended(waiting[0])


def test_two_requests_on_one_connection_are_both_answered(server: serve.Server) -> None:
    with connect(server) as connection:
        ask = b"HEAD / HTTP/1.1\r\nHost: localhost\r\n\r\n"
        connection.sendall(ask + ask[:10])
        time.sleep(0.2)
        connection.sendall(ask[10:])
        answer = b""
        while answer.count(b"HTTP/1.1 200") < 2:
            block = connection.recv(65536)
            assert block
            answer += block


def test_a_browser_that_leaves_in_the_middle_of_an_answer_makes_no_noise(
    server: serve.Server, capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    with connect(server) as connection:
        connection.sendall(HEAD + b"\r\n")
        connection.recv(1000)
        # Closed with data unread, the connection is reset, as by a browser that goes elsewhere.
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    with connect(server) as connection:
        connection.sendall(b"no HTTP at all\r\n\r\n")
        connection.recv(1000)
    time.sleep(0.3)
    assert is_answered(server)
    assert capfd.readouterr().err == ""
    assert [record for record in caplog.records if record.levelno >= logging.WARNING] == []


def test_the_server_ends_while_a_browser_is_still_there(tmp_path: Path) -> None:
    (tmp_path / "large.js").write_bytes(bytes(LARGE))
    with serve.bound(serve.Site((tmp_path,))) as server:
        thread = threading.Thread(target=server.run)
        thread.start()
        with connect(server) as connection:
            connection.sendall(HEAD + b"\r\n")
            connection.recv(1000)
            server.stop()
            thread.join(30)
            assert not thread.is_alive()
