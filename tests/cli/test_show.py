"""`posekit show`: the page from a server that only this machine can reach."""

from __future__ import annotations

import http.client
import json
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

import posekit
from posekit.bridge.served import served
from posekit.cli import server

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


@pytest.fixture
def port(folder: Path, arm: posekit.Prop) -> Iterator[int]:
    running = server.serve(server.Site(folder, *served("arm", arm)), 0)
    threading.Thread(target=running.serve_forever, daemon=True).start()
    yield running.server_port
    running.shutdown()
    running.server_close()


def get(port: int, path: str, method: str = "GET", **headers: str) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request(method, path, headers=headers)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, dict(answer.getheaders()), content


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
    assert (status, headers["Content-Type"]) == (200, kind)
    assert headers["X-Content-Type-Options"] == "nosniff"


def test_names_with_a_hash_are_kept_for_good_and_all_others_asked_for_anew(port: int) -> None:
    assert "immutable" in get(port, "/assets/a.js")[1]["Cache-Control"]
    assert get(port, "/")[1]["Cache-Control"] == "no-cache"
    assert get(port, "/props/index.json")[1]["Cache-Control"] == "no-cache"


def test_the_policy_allows_nothing_inline_and_no_other_host(port: int) -> None:
    policy = dict(
        part.strip().split(" ", 1) for part in get(port, "/")[1]["Content-Security-Policy"].split(";")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == "'self' 'wasm-unsafe-eval'"
    assert policy["frame-ancestors"] == "'none'"
    allowed = {source for sources in policy.values() for source in sources.split()}
    assert allowed <= {"'none'", "'self'", "'wasm-unsafe-eval'", "blob:", "data:"}


def test_the_page_says_the_same_policy_itself_for_static_hosts() -> None:
    markup = (Path(__file__).parents[2] / "web" / "index.html").read_text()
    (said,) = re.findall(r'http-equiv="Content-Security-Policy"\s+content="([^"]+)"', markup)
    assert re.sub(r"\s+", " ", said).strip().rstrip(";") == server.POLICY


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


def test_it_listens_on_loopback_alone(port: int, folder: Path) -> None:
    running = server.serve(server.Site(folder), 0)
    assert running.server_address[0] == "127.0.0.1"
    running.server_close()


def test_head_gives_the_length_and_no_content(port: int) -> None:
    status, headers, content = get(port, "/", method="HEAD")
    assert (status, headers["Content-Length"], content) == (200, str(len(MARKUP)), b"")


def test_the_prop_of_the_builder_comes_first_with_its_picture_and_folder(
    port: int, arm: posekit.Prop
) -> None:
    (entry,) = json.loads(get(port, "/props/index.json")[2])
    assert (entry["name"], entry["title"], entry["links"]) == ("arm", arm.name, ["base", "arm"])
    assert get(port, f"/{entry['picture']}")[2].startswith(b"glTF")
    assert get(port, f"/{entry['folder']}")[2].startswith(b"PK")


def test_a_browser_that_leaves_in_the_middle_of_an_answer_makes_no_noise(
    port: int, folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (folder / "assets" / "large.js").write_bytes(bytes(50_000_000))
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(b"GET /assets/large.js HTTP/1.1\r\nHost: 127.0.0.1:1\r\n\r\n")
        connection.recv(1000)
        # Closed with data unread, the connection is reset, as by a browser that goes elsewhere.
    time.sleep(0.3)  # the other side hears of it in its own thread
    assert get(port, "/")[0] == 200
    assert capfd.readouterr().err == ""


def test_a_port_that_is_taken_is_told_in_words(port: int, folder: Path) -> None:
    with pytest.raises(posekit.PosekitError, match=str(port)):
        server.serve(server.Site(folder), port)


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT for another process there")
def test_the_command_says_where_the_page_is_and_ends_with_control_c(tmp_path: Path) -> None:
    heron = Path(__file__).parents[2] / "models" / "heron"
    command = [sys.executable, "-c", "from posekit.cli import main; main()", "show", str(heron), "--no-open"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=tmp_path) as running:
        assert running.stdout is not None
        said = running.stdout.readline()
        (port,) = re.findall(r"http://127\.0\.0\.1:(\d+)/", said)
        entries = json.loads(get(int(port), "/props/index.json")[2])
        running.send_signal(signal.SIGINT)
        assert running.wait(10) == 0
    names = [entry["name"] for entry in entries]
    assert names[0] == "heron"
    assert len(names) == len(set(names))
