"""What the server answers, and to whom."""

from __future__ import annotations

import base64
import hashlib
import http.client
import json
import os
import re
import socket
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit import serve
from posekit.prop import writer
from posekit.serve.app import OWN_NAMES, asked
from posekit.serve.headers import BEFORE_PAINT, HEADERS, POLICY

pytestmark = pytest.mark.native

MARKUP = '<!doctype html><script type="module" src="./assets/a.js"></script>'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A page in small: one file of each kind, and one beside it that is nobody's business."""
    page = tmp_path / "page"
    for name in (
        "index.html",
        "assets/a.js",
        "runtime/p/pyodide.asm.wasm",
        "runtime/n.zip",
        "props/index.json",
        "x.css",
    ):
        (page / name).parent.mkdir(parents=True, exist_ok=True)
        (page / name).write_text(MARKUP if name == "index.html" else "[]")
    (tmp_path / "secret.txt").write_text("secret")
    return page


def saved(prop: posekit.Prop, folder: Path) -> str:
    """The prop as a builder has it on disk."""
    writer.save(prop, folder)
    return str(folder)


@pytest.fixture
def port(folder: Path, arm: posekit.Prop) -> Iterator[int]:
    model = saved(arm, folder.parent / "arm")
    with serve.site_of(model, folder) as site, serve.running(site) as server:
        yield server.port


def get(port: int, path: str, method: str = "GET", **headers: str) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request(method, path, headers=headers)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, {name.lower(): value for name, value in answer.getheaders()}, content


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/assets/a.js", "text/javascript; charset=utf-8"),
        ("/runtime/p/pyodide.asm.wasm", "application/wasm"),  # streamed compilation takes no other
        ("/runtime/n.zip", "application/zip"),
        ("/x.css", "text/css; charset=utf-8"),
        ("/props/index.json", "application/json"),
    ],
)
def test_every_file_goes_out_under_its_registered_type(port: int, path: str, kind: str) -> None:
    status, headers, _ = get(port, path)
    assert (status, headers["content-type"]) == (200, kind)
    assert headers["x-content-type-options"] == "nosniff"


def test_names_with_a_hash_are_kept_for_good_and_all_others_asked_for_anew(port: int) -> None:
    assert "immutable" in get(port, "/assets/a.js")[1]["cache-control"]
    assert get(port, "/")[1]["cache-control"] == "no-cache"
    assert get(port, "/props/index.json")[1]["cache-control"] == "no-cache"


def test_the_policy_allows_one_script_inline_and_no_other_host(port: int) -> None:
    policy = dict(
        part.strip().split(" ", 1) for part in get(port, "/")[1]["content-security-policy"].split(";")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == f"'self' {BEFORE_PAINT} 'wasm-unsafe-eval'"
    assert policy["frame-ancestors"] == "'none'"
    allowed = {source for sources in policy.values() for source in sources.split()}
    assert allowed <= {"'none'", "'self'", BEFORE_PAINT, "'wasm-unsafe-eval'", "blob:", "data:"}


def test_the_page_says_the_same_policy_itself_for_static_hosts() -> None:
    markup = (Path(__file__).parents[2] / "web" / "index.html").read_text()
    (said,) = re.findall(r'http-equiv="Content-Security-Policy"\s+content="([^"]+)"', markup)
    assert re.sub(r"\s+", " ", said).strip().rstrip(";") == POLICY


def test_the_script_that_the_policy_allows_is_the_one_in_the_markup() -> None:
    markup = (Path(__file__).parents[2] / "web" / "index.html").read_text()
    (script,) = re.findall(r"<script>(.*?)</script>", markup, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"'sha256-{digest}'" == BEFORE_PAINT


@pytest.mark.parametrize(
    "path", ["/../secret.txt", "/%2e%2e/secret.txt", "/assets/../../secret.txt", "//secret.txt", "/nothing"]
)
def test_nothing_outside_the_page_is_served(port: int, path: str) -> None:
    status, _, content = get(port, path)
    assert status == 404
    assert b"secret" not in content


@pytest.mark.parametrize("path", ["/%00", "/" + "a" * 5000, "/" + "a/" * 5000, "/index.html/x"])
def test_an_address_that_no_file_can_have_is_answered_like_any_that_is_not_there(
    port: int, path: str
) -> None:
    assert get(port, path)[0] == 404


def test_a_name_that_was_pointed_at_this_machine_is_turned_away(port: int) -> None:
    assert get(port, "/", Host="elsewhere.example:80")[0] == 421
    assert get(port, "/", Host=f"localhost:{port}")[0] == 200


def test_it_listens_on_loopback_alone(folder: Path) -> None:
    with serve.bound(serve.Site((folder,))) as server:
        with socket.create_connection(("127.0.0.1", server.port), 5) as connection:
            assert connection.getpeername()[0] == "127.0.0.1"
        outside = {found[4][0] for found in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
        for place in outside - {"127.0.0.1"}:
            if not place.startswith("127."):
                with pytest.raises(OSError):
                    socket.create_connection((place, server.port), 2)


def test_head_gives_the_length_and_no_content(port: int) -> None:
    status, headers, content = get(port, "/", method="HEAD")
    assert (status, headers["content-length"], content) == (200, str(len(MARKUP)), b"")


def test_the_prop_of_the_builder_comes_first_with_its_picture_and_folder(
    port: int, arm: posekit.Prop
) -> None:
    (entry,) = json.loads(get(port, "/props/index.json")[2])
    assert (entry["name"], entry["title"], entry["links"]) == ("arm", arm.name, ["base", "arm"])
    assert get(port, f"/{entry['picture']}")[2].startswith(b"glTF")
    assert get(port, f"/{entry['folder']}")[2].startswith(b"PK")


def ask(port: int, request: bytes) -> bytes:
    """All that comes back for these bytes, until the other side closes."""
    with socket.create_connection(("127.0.0.1", port), 10) as connection:
        connection.sendall(request[:60_000])
        if len(request) > 60_000:
            time.sleep(
                0.2
            )  # so that the other side has read all but the rest, and its answer is not lost in a reset
            connection.sendall(request[60_000:])
        answer = b""
        while block := connection.recv(65536):
            answer += block
    return answer


ERRORS = {
    "not there": (b"GET /nothing HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n", 404),
    "another name": (b"GET / HTTP/1.1\r\nHost: elsewhere.example\r\nConnection: close\r\n\r\n", 421),
    "a method": (b"DELETE / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n", 405),
    "half an address": (b"GET http://[ HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n", 421),
    "a star": (b"GET * HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n", 421),
    "no host": (b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n", 400),
    "no http": (b"\x16\x03\x01 hello\r\n\r\n", 400),
    "a long head": (b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 66_000, 400),
    "a part beyond the end": (
        b"GET /x.css HTTP/1.1\r\nHost: localhost\r\nRange: bytes=9-\r\nConnection: close\r\n\r\n", 416
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", ERRORS)
def test_an_error_has_the_headers_of_every_answer_and_names_no_software(port: int, what: str) -> None:
    request, status = ERRORS[what]
    head, _, words = ask(port, request).partition(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    assert first.split()[1] == str(status), head
    headers = {name.lower(): value for name, value in (line.split(": ", 1) for line in lines)}
    for name, value in HEADERS.items():
        assert headers[name.lower()] == value, name
    assert headers["cache-control"] == "no-cache"
    assert "server" not in headers and b"uvicorn" not in (head + words).lower()
    assert b"Traceback" not in words


def test_a_file_says_that_it_is_for_this_page_alone_and_which_features_it_has_no_use_for(port: int) -> None:
    headers = get(port, "/assets/a.js")[1]
    assert "server" not in headers
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert {"camera=()", "microphone=()", "geolocation=()", "usb=()"} <= set(
        headers["permissions-policy"].split(", ")
    )


def test_a_whole_address_is_answered_like_its_path_and_its_name_counts(port: int) -> None:
    rest = b" HTTP/1.1\r\nHost: elsewhere.example\r\nConnection: close\r\n\r\n"
    assert ask(port, b"GET http://127.0.0.1:80/x.css" + rest).startswith(b"HTTP/1.1 200")
    assert ask(port, b"GET http://elsewhere.example/x.css" + rest).startswith(b"HTTP/1.1 421")


@given(st.binary(max_size=200))
def test_the_name_asked_for_is_taken_for_ours_only_if_it_is_and_never_fails(target: bytes) -> None:
    host, path = asked(target.decode("latin1"), target.decode("latin1"))
    assert host not in OWN_NAMES or host in target.decode("latin1")
    assert isinstance(path, str)


def test_a_part_of_a_file_is_given_for_the_asking(port: int, folder: Path) -> None:
    (folder / "assets" / "long.js").write_bytes(bytes(range(256)))
    status, headers, content = get(port, "/assets/long.js", Range="bytes=10-19")
    assert (status, content) == (206, bytes(range(10, 20)))
    assert headers["content-range"] == "bytes 10-19/256"
    assert get(port, "/assets/long.js", Range="bytes=-6")[2] == bytes(range(250, 256))
    assert get(port, "/assets/long.js", Range="lines=1-2")[0] in (200, 400)


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of POSIX")
def test_a_link_out_of_the_page_a_pipe_and_a_folder_are_not_served(port: int, folder: Path) -> None:
    (folder / "assets" / "out.txt").symlink_to(folder.parent / "secret.txt")
    (folder / "out").symlink_to(folder.parent)
    os.mkfifo(folder / "assets" / "pipe.txt")
    for path in ("/assets/out.txt", "/out/secret.txt", "/assets/pipe.txt", "/assets", "/assets/"):
        assert get(port, path)[0] == 404, path


def test_a_prop_in_a_folder_of_any_name_is_served_and_listed_under_it(
    folder: Path, arm: posekit.Prop
) -> None:
    model = saved(arm, folder.parent / "Büro: my prop?")
    with serve.site_of(model, folder) as site, serve.running(site) as server:
        (entry,) = json.loads(get(server.port, "/props/index.json")[2])
        assert entry["name"] == "Büro: my prop?"
        assert get(server.port, f"/{entry['folder']}")[2].startswith(b"PK")
        front = site.folders[0]
    assert not front.exists()


def test_a_fault_of_our_own_is_told_and_answered(folder: Path) -> None:
    faults: list[Exception] = []

    class Broken(serve.Site):
        def place(self, address: str) -> Path | None:
            raise ZeroDivisionError

    with serve.running(Broken((folder,)), faults.append) as server:
        status, headers, words = get(server.port, "/")
        assert status == 500 and b"Traceback" not in words
        assert headers["x-content-type-options"] == "nosniff"
    assert [type(fault) for fault in faults] == [ZeroDivisionError]


def test_a_port_that_is_taken_is_told_in_words(port: int, folder: Path) -> None:
    with (
        pytest.raises(posekit.PosekitError, match=f"{port}: cannot be used \\([A-Z]"),
        serve.bound(serve.Site((folder,)), port),
    ):
        pass
