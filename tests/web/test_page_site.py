"""A site on a plain web host that sends no headers of ours, in a folder of it, seen from another machine's name."""

from __future__ import annotations

import json
import shutil
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
import trustme
from click.testing import CliRunner
from playwright.sync_api import Browser, Playwright

import posekit
from posekit.cli import main
from posekit.pipeline import pose_at
from tests.web.conftest import CHROMIUM, FLAGS, HERON, UNDRAWN, Bench, profile_of

pytestmark = [pytest.mark.page, pytest.mark.timeout(600)]

ARM = Path(__file__).parents[1] / "cases" / "valid" / "arm.toml"
HOST, PLAIN_HOST = "figures.example", "plain.example"


class Quiet(SimpleHTTPRequestHandler):
    """The web server of Python's library, without its lines on the error stream."""

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@pytest.fixture
def hosted(tmp_path: Path, address: str) -> Path:
    """What a web host gives away: a site in one of its folders; `address` saw to the build of the page."""
    for name in ("one", "two"):
        (tmp_path / name / "arm").mkdir(parents=True)
        shutil.copy(ARM, tmp_path / name / "arm" / "prop.toml")
    (tmp_path / "host" / "on").mkdir(parents=True)
    models = [str(tmp_path / "one" / "arm"), str(HERON), str(tmp_path / "two" / "arm")]
    out = str(tmp_path / "host" / "on" / "tour")
    done = CliRunner().invoke(main, ["site", out, *models, "--json"])
    assert done.exit_code == 0, done.output
    assert [prop["name"] for prop in json.loads(done.stdout)["props"]] == ["arm", "heron", "arm-2"]
    again = CliRunner().invoke(main, ["site", out, *models])
    assert again.exit_code == 2 and "nothing in it is overwritten" in again.stderr
    return tmp_path / "host"


@contextmanager
def serving(folder: Path, context: ssl.SSLContext | None) -> Iterator[int]:
    """The port at which a web host serves a folder, by https with a context."""
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder))) as server:
        if context:
            server.socket = context.wrap_socket(server.socket, server_side=True)
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server.server_port
        server.shutdown()
        thread.join()


@pytest.fixture
def far(playwright: Playwright) -> Iterator[Browser]:
    """A browser for which the host has names of the web, and which believes any certificate."""
    rules = f"--host-resolver-rules=MAP {HOST} 127.0.0.1, MAP {PLAIN_HOST} 127.0.0.1"
    flags = [*FLAGS, UNDRAWN, rules, "--ignore-certificate-errors"]
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
    yield browser
    browser.close()


def visit(browser: Browser, address: str) -> tuple[Bench, list[str]]:
    page = profile_of(browser, {}).new_page()
    problems: list[str] = []
    page.on("pageerror", lambda problem: problems.append(str(problem)))
    page.goto(address)
    bench = Bench(page, address)
    bench.posed()
    return bench, problems


def test_the_page_opens_the_builders_prop_a_link_opens_its_pose_and_it_is_kept_for_later(
    far: Browser, hosted: Path
) -> None:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    trustme.CA().issue_cert(HOST).configure_cert(context)
    with serving(hosted, context) as port:
        opened_shared_and_kept(far, f"https://{HOST}:{port}/on/tour/", hosted)


def opened_shared_and_kept(far: Browser, address: str, hosted: Path) -> None:
    first, problems = visit(far, address)
    arm = posekit.read({"prop.toml": ARM.read_bytes()})
    first.stands_as(pose_at(arm, [drive.rest_value for drive in arm.drives]))
    assert first.work()["folder"] == "arm"

    first.page.get_by_role("button", name="Open").click()
    first.page.get_by_role("dialog").get_by_role("button", name="Marsh heron").click()
    first.becomes("() => posekit.work().folder", "heron")
    first.page.get_by_label("head_turn", exact=True).fill("222")
    first.quiet()
    first.page.get_by_role("button", name="Share").click()
    dialog = first.page.get_by_role("dialog", name="Share")
    dialog.get_by_text("the prop by its name.").wait_for()
    link = dialog.get_by_role("textbox", name="Link").input_value()
    assert link.startswith(f"{address}#pose=") and len(link) < 300
    dialog.get_by_role("button", name="Copy the link").click()
    dialog.get_by_text("Copied.").wait_for()

    other, others_problems = visit(far, link)  # of one who was never there
    prop = posekit.load(HERON)
    values = {"head_turn": 222}
    other.stands_as(pose_at(prop, [values.get(each.name, each.rest_value) for each in prop.drives]))

    other.page.wait_for_selector("html[data-offline=kept]", state="attached")
    scope = other.page.evaluate("async () => (await navigator.serviceWorker.ready).scope")
    assert scope == address
    other.page.close()
    shutil.rmtree(hosted / "on")  # the host has nothing any more
    later = other.page.context.new_page()
    later.goto(address)
    again = Bench(later, address)
    again.posed()
    assert again.node("beak").shape == (4, 4)
    assert problems == others_problems == []


def test_without_a_secure_connection_the_page_poses_copies_and_shares_all_the_same(
    far: Browser, hosted: Path
) -> None:
    with serving(hosted, None) as port:
        posed_copied_and_shared(far, f"http://{PLAIN_HOST}:{port}/on/tour/")


def posed_copied_and_shared(far: Browser, address: str) -> None:
    bench, problems = visit(far, address)
    has = "() => [isSecureContext, 'serviceWorker' in navigator, 'locks' in navigator, 'subtle' in crypto]"
    assert bench.page.evaluate(has) == [False] * 4
    bench.page.get_by_role("button", name="Share").click()
    dialog = bench.page.get_by_role("dialog", name="Share")
    dialog.get_by_text("the prop by its name.").wait_for()
    dialog.get_by_role("button", name="Copy the link").click()
    dialog.get_by_text("Copied.").wait_for()
    link = dialog.get_by_role("textbox", name="Link").input_value()
    bench.page.keyboard.press("Escape")
    # What was copied is what comes out where it is pasted.
    pasted = bench.tab("Looks").locator("textarea").first
    pasted.focus()
    bench.page.keyboard.press("Control+V")
    assert pasted.input_value() == link
    assert problems == []
