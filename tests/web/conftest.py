"""The built page in a real Chromium, served as `posekit show` serves it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from base64 import b64encode
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Error,
    Locator,
    Page,
    Playwright,
    expect,
    sync_playwright,
)

from posekit import serve
from posekit.pipeline import Pose
from tests.web import native_python

ROOT = Path(__file__).parents[2]
HERON = ROOT / "models" / "heron"
PICTURES = Path(__file__).parent / "pictures"
CHROMIUM = os.environ.get("POSEKIT_CHROMIUM", "/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # Most pages of the tests live for seconds: only what runs for as long is worth to be compiled a second time.
    "--js-flags=--wasm-tiering-budget=2000000000",
]
# To draw on the processor is most of a page's work, and nearly every test asks where things stand, not for pixels.
# The browser leaves them out. A test that looks at them says so by its setting; pictures for people come on demand.
KEEP_PICTURES = "POSEKIT_PICTURES" in os.environ
UNDRAWN = "--disable-gl-drawing-for-tests"
# What is not the figure is drawn sooner without a graphics card that the processor has to play.
DRAWN = "--disable-gpu-compositing"
ALL_IN_PYODIDE = "POSEKIT_IN_PYODIDE" in os.environ  # whatever Python a test asks for
SLOW_MS = 60_000  # Python starts on a machine that does other things, too
expect.set_options(timeout=SLOW_MS)
PATIENCE = 60.0  # s to wait for what the page should come to; only a page that fails takes it all
DESK = {"width": 1280, "height": 800}

# The picture's axes in those of the prop: x is our y, y our z, z our x; metres for mm.
PICTURE_FROM_PROP = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])


# What `browser.new_context` takes, and `drawn` for one whose pixels are looked at: True, or "asked" where a test asks.
Setting = dict[str, Any]
# A film needs pixels, not their number: a quarter of them.
COARSE: Setting = {"drawn": True, "device_scale_factor": 0.5}
# Leaves the pixels of the figure out until they are asked for: a long walk is looked at in a few places only.
WHEN_ASKED = """const draws = ["drawArrays", "drawElements", "drawArraysInstanced", "drawElementsInstanced"];
for (const name of ["clear", "blitFramebuffer", ...draws]) {
    const draw = WebGL2RenderingContext.prototype[name];
    WebGL2RenderingContext.prototype[name] = function (...given) {
        if (window.pixelsAsked) draw.apply(this, given);
    };
}"""
# A theme that is set, be it the same, has the view drawn anew.
ASK = """() => {
    window.pixelsAsked = true;
    document.documentElement.dataset.theme = "";
    delete document.documentElement.dataset.theme;
}"""


# Where the view is looked at from [m] and where its picture lies [px], twenty frames on, however long one takes.
VIEW = """() => new Promise((done) => {
    let left = 20;
    const box = () => document.querySelector("#view canvas").getBoundingClientRect();
    const tell = () => done([...posekit.eye(), box().x, box().y, box().width, box().height]);
    const next = () => (--left > 0 ? requestAnimationFrame(next) : tell());
    next();
})"""


# What an expression is, once that has these letters or a second is over: the page looks by itself, because to ask it
# over and over from outside keeps four processes busy.
LOOK = """async (letters) => {
    const look = () => (%s);
    const latest = performance.now() + 1000;
    for (;;) { // ends with the second
        let found = look();
        if (typeof found === "function") found = await found();
        if (JSON.stringify(found ?? null) === letters || performance.now() > latest) return found;
        await new Promise((next) => setTimeout(next, 50));
    }
}"""


@dataclass(frozen=True)
class Bench:
    """The page as a builder has it before them."""

    page: Page
    address: str

    def posed(self) -> None:
        """Wait until Python has posed the prop."""
        self.page.wait_for_selector("html[data-picture=posed]", state="attached")

    def work(self) -> dict[str, Any]:
        """What would be saved: folder, values, text."""
        return self.page.evaluate("() => posekit.work()")

    def node(self, link: str) -> np.ndarray:
        """picture_from_link (4, 4) of a link as it is drawn; nan where the figure has no such link."""
        return self.nodes([link])[0]

    def nodes(self, links: Iterable[str]) -> np.ndarray:
        """The same of several, in (links, 4, 4)."""
        drawn = self.page.evaluate("links => links.map((link) => posekit.node(link))", list(links))
        return np.array(
            [np.full((4, 4), np.nan) if each is None else np.reshape(each, (4, 4)).T for each in drawn]
        )

    def stands_as(self, pose: Pose) -> None:
        """Wait until the picture shows this pose."""
        self.stands_at(pose.links)

    def stands_at(self, world_from_links: Mapping[str, np.ndarray]) -> None:
        """Wait until every link is drawn there, to 1e-5 in its turn and 0.01 mm in its place."""
        wanted = np.array([picture_from_link(matrix) for matrix in world_from_links.values()])
        for _ in self.looks():
            off = np.abs(self.nodes(world_from_links) - wanted).max()
            if off < 1e-5:
                return
        raise AssertionError(f"some link is {off} away from where it should be drawn")

    @contextmanager
    def waiting_for(self, method: str) -> Iterator[None]:
        """Python hears the next question of this kind, and all that is asked behind it, only when this ends."""
        self.page.evaluate(
            """method => {
                const post = Worker.prototype.postMessage;
                let held = null;
                window.asked = () => held !== null;
                window.letGo = () => {
                    Worker.prototype.postMessage = post;
                    held?.();
                };
                Worker.prototype.postMessage = function (...given) {
                    if (given[0].method === method) held = () => post.apply(this, given);
                    else post.apply(this, given);
                };
            }""",
            method,
        )
        try:
            yield
        finally:
            self.page.evaluate("() => letGo()")

    def served_for(self, reach: str) -> None:
        """Let the page's server say whom it serves: this machine, the network, anyone."""
        self.page.evaluate("reach => void (document.documentElement.dataset.served = reach)", reach)

    def picture(self) -> bytes:
        """The page as it is seen once what glides stands, as PNG."""
        self.page.evaluate(ASK)
        self.page.wait_for_timeout(300)
        seen = self.page.screenshot()
        self.page.evaluate("() => void (window.pixelsAsked = false)")
        return seen

    def quiet(self) -> None:
        """Wait until Python has answered all that it was asked."""
        self.becomes("() => posekit.busy()", False)

    def settled(self) -> np.ndarray:
        """Where the view is looked at from (3,) [m], once neither it nor its place on the screen changes any more.

        It turns on for a moment when it is let go, and is fitted anew a frame after its place has another size.
        """
        before: list[float] = []
        for _ in self.looks():
            if (now := self.page.evaluate(VIEW)) == before:
                return np.array(now[:3])
            before = now
        raise AssertionError("the view does not settle")

    def snapshot(self, form: str) -> str:
        """The snapshot as its button copies it."""
        self.tab("Looks").get_by_role("button", name=f"Copy as {form.upper()}").click()
        self.page.get_by_text("Snapshot copied").first.wait_for()
        return self.page.evaluate("() => navigator.clipboard.readText()")

    def looks(self) -> Iterator[None]:
        """Moments to look at the page, one after another, for as long as a busy machine may need."""
        until = time.monotonic() + PATIENCE
        yield
        while time.monotonic() < until:
            self.page.wait_for_timeout(50)
            yield

    def becomes(self, expression: str, wanted: object) -> None:
        """Wait until an expression has a value; the page's own policy forbids Playwright's way to wait."""
        found: object = None
        look, letters = LOOK % expression, json.dumps(wanted, separators=(",", ":"), ensure_ascii=False)
        for _ in self.looks():
            with suppress(Error):  # the page may be on its way to another address
                if (found := self.page.evaluate(look, letters)) == wanted:
                    return
        raise AssertionError(f"{expression} is {found!r}, not {wanted!r}")

    def finger(self, begin: tuple[float, float], end: tuple[float, float]) -> None:
        """Drag a finger over the screen, from a place to another [px]."""
        self.fingers((begin, end))

    def fingers(self, *ways: tuple[tuple[float, float], tuple[float, float]]) -> None:
        """Drag fingers over the screen at the same time, each from a place to another [px]."""
        screen = self.page.context.new_cdp_session(self.page)
        steps = np.linspace(*np.swapaxes(ways, 0, 1), 6)  # (steps, fingers, 2)
        for row, places in enumerate([*steps, []]):
            kind = "touchStart" if row == 0 else "touchMove" if row < len(steps) else "touchEnd"
            touched = [{"x": float(x), "y": float(y), "id": each} for each, (x, y) in enumerate(places)]
            screen.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touched})
        screen.detach()

    def tab(self, name: str) -> Locator:
        """Open the panel of this name."""
        self.page.get_by_role("tab", name=name).click()
        return self.page.get_by_role("tabpanel", name=name)

    def drop(self, name: str, content: bytes) -> None:
        """Drop a file on the page."""
        self.page.evaluate(
            """([name, text]) => {
                const carried = new DataTransfer();
                carried.items.add(new File([Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0))], name));
                const how = {dataTransfer: carried, bubbles: true, cancelable: true};
                document.body.dispatchEvent(new DragEvent("drop", how));
            }""",
            [name, b64encode(content).decode()],  # a list of numbers takes seconds for a megabyte
        )


def picture_from_link(world_from_link: np.ndarray) -> np.ndarray:
    """(4, 4) in metres and the picture's axes, from (4, 4) in mm."""
    out = np.eye(4)
    out[:3, :3] = PICTURE_FROM_PROP @ world_from_link[:3, :3]
    out[:3, 3] = PICTURE_FROM_PROP @ world_from_link[:3, 3] / 1000
    return out


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """Where the page is served, built first if it is not up to date.

    POSEKIT_TEST_PAGE names the folder of a page that is to be tested as it is.
    """
    if folder := os.environ.get("POSEKIT_TEST_PAGE"):
        with serve.running(serve.Site((Path(folder),))) as server:
            yield server.address
    else:
        subprocess.run([sys.executable, "web/page.py"], cwd=ROOT, check=True)
        with serve.site_of(str(HERON)) as site, serve.running(site) as server:
            yield server.address


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def browsers(playwright: Playwright) -> Iterator[Callable[[bool], Browser]]:
    """The browser that draws every pixel, or the one that leaves them out; each is started when first asked for."""
    with ExitStack() as running:
        started: dict[bool, Browser] = {}

        def browser(drawn: bool) -> Browser:
            if (
                drawn not in started or not started[drawn].is_connected()
            ):  # one that has died takes no other test along
                flags = [*FLAGS, DRAWN if drawn else UNDRAWN]
                started[drawn] = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
                running.callback(started[drawn].close)
            return started[drawn]

        yield browser


@pytest.fixture
def browser(browsers: Callable[[bool], Browser], setting: Setting) -> Browser:
    return browsers(KEEP_PICTURES or bool(setting.get("drawn")))


@pytest.fixture
def profile(browser: Browser, setting: Setting, worker: str) -> Iterator[BrowserContext]:
    """A browser profile that has never seen the page."""
    context = profile_of(browser, setting, worker)
    yield context
    context.close()


@pytest.fixture
def bare_profile(
    request: pytest.FixtureRequest,
    browser: Browser,
    address: str,
    setting: Setting,
    emptied: dict[str, BrowserContext],
) -> Iterator[BrowserContext]:
    """A browser profile that keeps nothing of the page; what the browser fetched and compiled may be there."""
    with taken_over(request, emptied, browser, setting, lambda: address) as context:
        yield context


@contextmanager
def taken_over(
    request: pytest.FixtureRequest,
    emptied: dict[str, BrowserContext],
    browser: Browser,
    setting: Setting,
    address: Callable[[], str],
    who: str = "",
) -> Iterator[BrowserContext]:
    """The emptied profile of an earlier test of this setting, or a new one; left empty of what `address` kept there.

    `who` has profiles of its own: tests whose page is served elsewhere. What is compiled goes by its address.
    """
    worker = request.getfixturevalue("worker")
    key = who + kind_of(setting, worker)
    context = emptied.pop(key, None) or profile_of(browser, setting, worker)
    yield context
    report = request.node.stash.get(OUTCOME, None)
    if report is not None and report.passed:
        emptied[key] = emptied_profile(context, address())
    else:
        context.close()


def kind_of(setting: Setting, worker: str) -> str:
    """What pages have to have in common to be taken over from test to test."""
    return f"{'native ' if worker else ''}{sorted(setting.items())!r}"


def profile_of(browser: Browser, setting: Setting, worker: str = "") -> BrowserContext:
    """A new one, whose pages run this script as their worker, else their own."""
    asked = {key: value for key, value in setting.items() if key != "drawn"}
    context = browser.new_context(**{"viewport": DESK, **asked})
    context.grant_permissions(["clipboard-read", "clipboard-write"])
    context.set_default_timeout(SLOW_MS)
    if setting.get("drawn") == "asked" and not KEEP_PICTURES:
        context.add_init_script(WHEN_ASKED)
    if worker:
        as_worker(context, worker)
    return context


@pytest.fixture
def setting(request: pytest.FixtureRequest) -> Setting:
    """What the browser is like: a phone, in the dark, ...; tests give it as a parameter."""
    found: Setting = getattr(request, "param", {})
    return found


def as_worker(context: BrowserContext, script: str) -> None:
    """Have the pages of a profile run this script in place of the worker they name."""
    how = {"body": script, "content_type": "text/javascript"}
    context.route("**/assets/engine.worker-*.js", lambda route: route.fulfill(**how))
    context.grant_permissions(["local-network-access"])  # what no server sent may else not ask this machine
    # Playwright meets no request that a service worker answers.
    context.add_init_script("delete Navigator.prototype.serviceWorker")


@pytest.fixture(scope="session")
def native_worker() -> Iterator[str]:
    with native_python.native_python() as script:
        yield script


@pytest.fixture
def worker(request: pytest.FixtureRequest) -> str:
    """The script of the worker where the test is marked to have a native Python, else "": the page's own."""
    mark = request.node.get_closest_marker("python")
    native = mark is not None and mark.args == ("native",) and not ALL_IN_PYODIDE
    return request.getfixturevalue("native_worker") if native else ""


@pytest.fixture
def bench_of(address: str) -> Callable[[Page], Bench]:
    """The bench of a page that the test opened itself."""
    return lambda page: Bench(page, address)


@dataclass
class Standing:
    """A page that stands ready from test to test, in a browser of one setting; it starts Python once."""

    bench: Bench
    problems: list[str]
    sound: bool = True  # no test that used it failed


@pytest.fixture(scope="session")
def standing() -> Iterator[dict[str, Standing]]:
    """The pages that stand ready, by setting."""
    pages: dict[str, Standing] = {}
    yield pages
    for each in pages.values():
        put_away(each)


@pytest.fixture(scope="session")
def emptied() -> dict[str, BrowserContext]:
    """The profile of the last page of its own that a test had, by setting, emptied: the next one takes it over."""
    return {}


@pytest.fixture
def bench(
    request: pytest.FixtureRequest,
    browser: Browser,
    address: str,
    setting: Setting,
    worker: str,
    standing: dict[str, Standing],
    emptied: dict[str, BrowserContext],
) -> Iterator[Bench]:
    """The page with its prop posed, as on a first visit; at the end of the test nothing may have gone wrong unheard.

    Tests share a page that stands ready. Those that reload it, end its worker, open others beside it or change the
    browser under it have one of their own: they are marked `own_page`. It has nothing of an earlier page but what the
    browser compiled, which halves a start. Who asks for `profile`, too, has it in a profile that never saw the page.
    """
    key = kind_of(setting, worker)
    own = request.node.get_closest_marker("own_page") and "profile" not in request.fixturenames
    if "profile" in request.fixturenames:
        at = opened(request.getfixturevalue("profile"), address)
    elif own:
        at = opened(emptied.pop(key, None) or profile_of(browser, setting, worker), address)
    else:
        if key in standing and not standing[key].sound:
            put_away(standing.pop(key))
        if key not in standing:
            standing[key] = opened(profile_of(browser, setting, worker), address)
        at = standing[key]
        at.sound = False  # until it stands there
        as_at_first(at.bench, setting)
    at.sound = False  # until this test has ended well
    yield at.bench
    report = request.node.stash.get(OUTCOME, None)
    assert at.problems == []
    at.sound = report is not None and report.passed
    if own and at.sound:
        emptied[key] = emptied_profile(at.bench.page.context, address)
    elif own:
        put_away(at)


# All that a page can have kept, by the names of the browser's own protocol; what was fetched and compiled stays.
KEPT = "cookies,local_storage,indexeddb,service_workers,cache_storage,file_systems"


def put_away(used: Standing) -> None:
    """Close a page with its profile, if its browser is still there."""
    with suppress(Error):
        used.bench.page.context.close()


def emptied_profile(context: BrowserContext, address: str) -> BrowserContext:
    """The profile of pages that are done with, all closed and nothing of them kept."""
    blank = context.new_page()
    for page in context.pages:
        if page != blank:
            page.close()
    session = context.new_cdp_session(blank)
    session.send("Storage.clearDataForOrigin", {"origin": address.rstrip("/"), "storageTypes": KEPT})
    session.detach()
    return context


def opened(context: BrowserContext, address: str) -> Standing:
    """A page that was just opened, its prop posed."""
    page = context.pages[0] if context.pages else context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda problem: problems.append(str(problem)))
    page.on("console", lambda message: problems.append(message.text) if message.type == "error" else None)
    page.goto(address)
    bench = Bench(page, address)
    bench.posed()
    return Standing(bench, problems)


def as_at_first(bench: Bench, setting: Setting) -> None:
    """Bring a page that stands ready back to where a first visit begins, and its window to the size of its setting."""
    size = setting.get("viewport", DESK)
    if bench.page.viewport_size != size:
        bench.page.set_viewport_size(size)
        bench.becomes("() => innerWidth", size["width"])
    bench.quiet()
    bench.page.emulate_media(color_scheme="null")
    bench.page.evaluate(
        """() => {
            delete document.documentElement.dataset.served;
            for (const dialog of document.querySelectorAll("dialog[open]")) dialog.close();
            const shown = document.querySelectorAll("#view-tools [aria-label=Show] [aria-pressed=true]");
            for (const pressed of shown) pressed.click();
            document.querySelector("#view-tools [aria-label=Hand] button").click();
            document.activeElement?.blur();
            for (const each of document.querySelectorAll("*")) if (each.scrollTop) each.scrollTop = 0;
            posekit.anew();
        }"""
    )
    bench.quiet()
    told = bench.page.get_by_role("alert").all_inner_texts()
    assert told == [], "what comes late of another test is told as of this one"


OUTCOME = pytest.StashKey[pytest.TestReport]()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser on a busy machine can miss its time: a test of the page is tried once more, and pytest tells which."""
    for item in items:
        if item.get_closest_marker("page"):
            item.add_marker(pytest.mark.flaky(reruns=1))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Keeps how a test ended, for the page that it leaves behind."""
    report = yield
    if report.when == "call":
        item.stash[OUTCOME] = report
    return report


@pytest.fixture
def shot() -> Callable[[Bench, str], None]:
    """Keeps a picture of the page, for people to look at, where POSEKIT_PICTURES is set."""
    PICTURES.mkdir(exist_ok=True)

    def keep(bench: Bench, name: str) -> None:
        if not KEEP_PICTURES:
            return
        bench.page.wait_for_timeout(200)
        bench.page.screenshot(path=PICTURES / f"{name}.png")

    return keep
