"""The server's word wins whenever it can be reached; what was made here is never lost to it."""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import asdict, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from playwright.sync_api import Page

import posekit
from posekit import serve
from posekit.bridge.site_entry import FOLDER, INDEX, site_entry
from posekit.serve.headers import HEADERS
from posekit.serve.site import PAGE
from tests.web.conftest import HERON

pytestmark = [pytest.mark.page, pytest.mark.timeout(600)]

WORKER, LIST, POLICY = "assets/engine.worker-*.js", "offline.json", "Content-Security-Policy"
PATH = "drives.head_turn.pulse.trim"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The prop that is put up."""
    return Path(shutil.copytree(HERON, tmp_path / "heron"))


@pytest.fixture
def native(native_worker: str, address: str, monkeypatch: pytest.MonkeyPatch) -> dict[str, bytes]:
    """Files in front of the page, by which it asks a native Python: what a service worker kept no test can answer for.

    Nothing of Pyodide's is kept then. `address` saw to the build of the page.
    """
    monkeypatch.setitem(HEADERS, POLICY, HEADERS[POLICY].replace("connect-src", "connect-src ws:"))
    (worker,) = PAGE.glob(WORKER)
    kept = json.loads((PAGE / LIST).read_text())
    kept["files"] = [file for file in kept["files"] if not file.startswith("runtime/")]
    return {
        worker.relative_to(PAGE).as_posix(): native_worker.encode(),
        LIST: json.dumps(kept).encode(),
    }


@pytest.fixture
def now() -> Iterator[ExitStack]:
    """What serves now; where it is closed nobody serves any more."""
    with ExitStack() as now:
        yield now


@pytest.fixture
def served(folder: Path, native: dict[str, bytes], now: ExitStack) -> Callable[..., str]:
    """Put the prop up as a site does that is made of files, again and again at the same port.

    `packed` puts the same files up in a zip of another kind, and so at another address.
    """
    ports = [0]

    def start(packed: bool = False) -> str:
        now.close()
        front = Path(now.enter_context(TemporaryDirectory()))
        entry, files = site_entry("heron", posekit.load(folder))
        if packed:
            files = {**files, f"{FOLDER}heron-packed.zip": deflated(files[entry.folder])}
            entry = replace(entry, folder=f"{FOLDER}heron-packed.zip")
        demos = [each for each in json.loads((PAGE / INDEX).read_text()) if each["name"] != "heron"]
        listed = json.dumps([asdict(entry), *demos]).encode()
        for place, content in {**native, **files, INDEX: listed}.items():
            (front / place).parent.mkdir(exist_ok=True)
            (front / place).write_bytes(content)
        server = now.enter_context(serve.running(serve.Site((front, PAGE)), port=ports[-1]))
        ports.append(server.port)
        return server.address

    return start


def deflated(content: bytes) -> bytes:
    """The same zip, compressed inside."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as plain,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed,
    ):
        for path in plain.namelist():
            packed.writestr(path, plain.read(path))
    return out.getvalue()


def changed(folder: Path, trim: int) -> str:
    """Change the prop that is put up next; answers its text."""
    prop = posekit.edit(posekit.load(folder), PATH, trim)
    (folder / "prop.toml").write_text(prop.text)
    return prop.text


def text_of(page: Page) -> str:
    return page.evaluate("() => posekit.work().text")


def kept(page: Page) -> None:
    page.wait_for_selector("html[data-offline=kept]", state="attached")


def test_a_prop_that_was_put_up_anew_is_the_one_that_is_shown(profile, folder, served, now, bench_of) -> None:
    address = served()
    page = profile.new_page()
    page.goto(address)
    bench = bench_of(page)
    bench.posed()
    old = text_of(page)
    kept(page)
    page.get_by_label("head_turn", exact=True).fill("200")
    page.get_by_text("Saved in this browser").wait_for()
    page.close()
    new = changed(folder, 30)
    assert served() == address
    again = profile.new_page()
    again.goto(address)
    bench = bench_of(again)
    bench.becomes("() => globalThis.posekit?.work().text", new)
    bench.posed()
    assert bench.work()["values"]["head_turn"] == 200
    again.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", old)
    # Where nobody serves any more the newest that was seen is there.
    again.close()
    now.close()
    last = profile.new_page()
    last.goto(address)
    bench = bench_of(last)
    bench.posed()
    last.get_by_role("button", name="Open", exact=True).click()
    last.get_by_role("dialog", name="Open").get_by_role("button", name="heron").first.click()
    bench.becomes("() => posekit.work().text", new)


def test_a_prop_that_was_changed_here_and_put_up_anew_is_asked_about(
    profile, folder, served, bench_of, shot
) -> None:
    address = served()
    page = profile.new_page()
    page.goto(address)
    bench = bench_of(page)
    bench.posed()
    kept(page)
    bench.tab("Calibration").locator("[data-path$='pulse.trim']").get_by_role("spinbutton").fill("7")
    bench.becomes("() => posekit.work().text.includes('trim = 7')", True)
    mine = text_of(page)
    new = changed(folder, 30)
    served()
    page.reload()
    question = page.get_by_role("alertdialog")
    question.get_by_role("button", name="Stay with mine").wait_for()
    shot(bench, "changed-where-served")
    page.keyboard.press("Escape")
    question.wait_for(state="detached")
    assert text_of(page) == mine
    page.get_by_text("Saved in this browser").wait_for()
    newer = changed(folder, 31)
    served()
    page.reload()  # not asked again about what was answered, but of what is newer
    question.get_by_role("button", name="Take the new one").click()
    bench.becomes("() => posekit.work().text", newer)
    page.get_by_text("Saved in this browser").wait_for()
    page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", mine)
    assert new not in (mine, newer)


def test_a_prop_that_is_only_packed_otherwise_has_not_changed(profile, served, bench_of) -> None:
    page = profile.new_page()
    page.goto(served())
    bench = bench_of(page)
    bench.posed()
    kept(page)
    bench.tab("Calibration").locator("[data-path$='pulse.trim']").get_by_role("spinbutton").fill("7")
    bench.becomes("() => posekit.work().text.includes('trim = 7')", True)
    mine = text_of(page)
    page.get_by_text("Saved in this browser").wait_for()
    served(packed=True)
    with page.expect_response("**/heron-packed.zip"):
        page.reload()
    bench.posed()
    bench.quiet()
    assert page.get_by_role("alertdialog").count() == 0
    assert page.get_by_text("has changed where it is served").count() == 0
    assert text_of(page) == mine
