"""What goes out in fewer bytes: to whom, of which names, and that it is the same file."""

from __future__ import annotations

import gzip
import http.client
import json
import os
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from posekit import serve
from posekit.serve.network import Place
from posekit.serve.phone import phone
from posekit.serve.smaller import accepts, gzip_of, gzipped

pytestmark = pytest.mark.native

SMALLER = Path(__file__).parents[2] / "web" / "runtime" / "smaller.mjs"
PLAIN = b"a part of a figure; " * 5000
CONTENT = {
    "runtime/posekit-1.zip": os.urandom(5000),
    "props/index.json": json.dumps(
        [{"picture": f"props/{name}-1.glb", "folder": f"props/{name}-2.zip"} for name in "ab"]
    ).encode(),
}


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """A page in small, whose files lie there in brotli, too, as the build lays them."""
    for name in (
        "index.html",
        "icon.svg",
        "assets/a-1.js",
        "runtime/p/pyodide.asm.wasm",
        "runtime/numpy-rest-1.zip",
        "runtime/posekit-1.zip",
        "props/a-1.glb",
        "props/a-2.zip",
        "props/b-1.glb",
        "props/b-2.zip",
        "props/index.json",
    ):
        place = tmp_path / "page" / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(CONTENT.get(name, PLAIN))
    subprocess.run(["node", str(SMALLER), str(tmp_path / "page"), str(tmp_path / "kept")], check=True)
    return tmp_path / "page"


@dataclass(frozen=True)
class Browser:
    """One that asks as it is told to and takes nothing apart."""

    port: int
    root: str

    def ask(self, path: str, **headers: str) -> tuple[dict[str, str], bytes]:
        """Headers and the bytes as they came."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        connection.request("GET", self.root + path, headers=headers)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return {name.lower(): value for name, value in answer.getheaders()}, content


@pytest.fixture
def near(page: Path) -> Iterator[Browser]:
    """A browser on this machine."""
    with serve.running(serve.Site((page,))) as server:
        yield Browser(server.port, "/")


@pytest.fixture
def far(page: Path) -> Iterator[Browser]:
    """A phone."""
    with phone(serve.Site((page,)), Place("lo", "127.0.0.1", "127.0.0.0/8")) as at:
        where = urlsplit(at.address)
        yield Browser(where.port or 0, where.path)


def by_node(content: bytes) -> bytes:
    """What Node reads out of brotli."""
    script = "process.stdout.write(require('zlib').brotliDecompressSync(require('fs').readFileSync(0)))"
    return subprocess.run(["node", "-e", script], input=content, capture_output=True, check=True).stdout


@pytest.mark.parametrize(
    ("path", "kind"),
    [("assets/a-1.js", "text/javascript; charset=utf-8"), ("runtime/p/pyodide.asm.wasm", "application/wasm")],
)
def test_who_takes_brotli_gets_the_same_file_in_it_under_the_type_of_the_plain_one(
    near: Browser, path: str, kind: str
) -> None:
    headers, content = near.ask(path, **{"Accept-Encoding": "gzip, deflate, br, zstd"})
    assert (headers["content-encoding"], headers["content-type"]) == ("br", kind)
    assert headers["vary"] == "Accept-Encoding"
    assert "immutable" in headers["cache-control"]
    assert int(headers["content-length"]) == len(content) < len(PLAIN) / 10
    assert by_node(content) == PLAIN


@pytest.mark.parametrize("accepted", ["", "identity", "br;q=0, gzip;q=0", "deflate", "x-br"])
def test_who_takes_neither_gets_the_plain_file_and_caches_know_why(far: Browser, accepted: str) -> None:
    headers, content = far.ask("assets/a-1.js", **{"Accept-Encoding": accepted})
    assert "content-encoding" not in headers
    assert headers["vary"] == "Accept-Encoding"
    assert content == PLAIN


def test_a_phone_that_takes_gzip_gets_it_and_a_browser_here_is_not_kept_waiting_for_it(
    near: Browser, far: Browser
) -> None:
    headers, content = far.ask("assets/a-1.js", **{"Accept-Encoding": "gzip"})
    assert (headers["content-encoding"], int(headers["content-length"])) == ("gzip", len(content))
    assert gzip.decompress(content) == PLAIN
    assert near.ask("assets/a-1.js", **{"Accept-Encoding": "gzip"})[1] == PLAIN


def test_a_file_too_large_to_be_held_here_goes_out_plain(
    far: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("posekit.serve.smaller.FOLDER_BYTES", len(PLAIN) - 1)
    headers, content = far.ask("props/a-2.zip", **{"Accept-Encoding": "gzip"})
    assert "content-encoding" not in headers
    assert content == PLAIN


def test_a_part_is_one_of_the_plain_file(far: Browser) -> None:
    headers, content = far.ask("assets/a-1.js", **{"Accept-Encoding": "gzip, br", "Range": "bytes=2-9"})
    assert "content-encoding" not in headers
    assert headers["content-range"] == f"bytes 2-9/{len(PLAIN)}"
    assert content == PLAIN[2:10]


@pytest.mark.parametrize("path", ["icon.svg", "props/index.json", "runtime/posekit-1.zip"])
def test_names_without_a_hash_and_what_does_not_get_smaller_go_out_plain(
    far: Browser, page: Path, path: str
) -> None:
    headers, content = far.ask(path, **{"Accept-Encoding": "gzip, br"})
    assert "content-encoding" not in headers
    assert content == (page / path).read_bytes()
    assert not (page / f"{path}.br").exists()


def test_only_what_a_first_visit_waits_for_lies_there_in_brotli(page: Path, far: Browser) -> None:
    made = {path.relative_to(page).as_posix() for path in page.rglob("*.br")}
    assert made == {
        "assets/a-1.js.br",
        "runtime/p/pyodide.asm.wasm.br",
        "props/a-1.glb.br",
        "props/a-2.zip.br",
    }
    headers, content = far.ask("runtime/numpy-rest-1.zip", **{"Accept-Encoding": "gzip, br"})
    assert (headers["content-encoding"], gzip.decompress(content)) == ("gzip", PLAIN)


def test_the_build_compresses_each_name_once_and_forgets_what_no_page_has(page: Path) -> None:
    kept = page.parent / "kept"
    (made,) = kept.glob("assets-*.br")
    made.write_bytes(b"of an earlier build")  # a name tells its content, so this is believed
    shutil.rmtree(page / "runtime" / "p")
    for beside in page.rglob("*.br"):
        beside.unlink()
    subprocess.run(["node", str(SMALLER), str(page), str(kept)], check=True)
    assert (page / "assets" / "a-1.js.br").read_bytes() == b"of an earlier build"
    assert not list(kept.glob("*.wasm.*"))


@pytest.mark.parametrize(
    ("header", "taken"),
    [
        ("br", True),
        ("gzip, BR ;q=0.5", True),
        ("br;q=0", False),
        ("br; q=0.000", False),
        ("brx", False),
        ("", False),
    ],
)
def test_a_coding_is_taken_if_it_is_named_and_not_weighed_nothing(header: str, taken: bool) -> None:
    assert accepts(header, "br") is taken


def test_gzip_is_made_once_the_same_each_time_and_only_where_it_saves(tmp_path: Path) -> None:
    place = tmp_path / "a-1.js"
    place.write_bytes(PLAIN)
    assert gzip_of(place) is gzip_of(place)
    assert gzipped(PLAIN) == gzipped(PLAIN)
    assert gzipped(os.urandom(5000)) is None
