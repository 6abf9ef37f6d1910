"""WebKit as Debian has it (WebKitGTK, the engine of Safari), by W3C WebDriver: https://www.w3.org/TR/webdriver2/."""

from __future__ import annotations

import base64
import json
import os
import subprocess
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.web.drivers.listening import asked_of_network, free_port, listens
from tests.web.drivers.screen import needed
from tests.web.drivers.window import ANSWER, SIZE

PACKAGE = "webkit2gtk-driver"
# The small browser beside the library of the driver, which is on no path.
BROWSER = os.environ.get("POSEKIT_WEBKIT")
FOLDERS = ("lib", "lib64", "libexec")
# Not compiled a third time: that took a third of all processor time, and the page lives for a minute.
COMPILED = {"JSC_useOMGJIT": "0"}
# It tells nobody what the console says: from when the document is there, the page's own window takes it down.
LISTEN = """() => {
    const heard = window.heardProblems = [];
    addEventListener("error", (event) => heard.push(event.message));
    addEventListener("unhandledrejection", (event) => heard.push(String(event.reason)));
    const error = console.error;
    console.error = (...words) => (heard.push(words.join(" ")), error(...words));
}"""


@dataclass
class WebKit:
    """A window of WebKit's own small browser: a Window."""

    driver: str
    downloads: Path
    outside: list[str]
    browser: str = "webkit"
    session: str = ""
    heard: list[str] = field(default_factory=list)

    def call(self, method: str, path: str, body: dict[str, Any] | None = None) -> Any:
        """What an end point of the session answers."""
        asked = urllib.request.Request(
            f"{self.driver}/session{self.session}{path}",
            method=method,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Content-Type": "application/json"},
        )
        try:
            with urllib.request.urlopen(asked, timeout=ANSWER) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as refused:
            raise AssertionError(f"{path}: {json.load(refused)['value']['message']}") from None

    def open_window(self, binary: str, proxy: str) -> None:
        # By options of its own: the standard's `proxy` reaches it for http alone.
        args = ["--automation", f"--proxy=http://{proxy}", "--ignore-host=127.0.0.1"]
        wanted = {"webkitgtk:browserOptions": {"binary": binary, "args": args}}
        self.session = f"/{self.call('POST', '', {'capabilities': {'alwaysMatch': wanted}})['sessionId']}"
        frame = dict(zip(("width", "height"), SIZE, strict=True))
        self.call("POST", "/window/rect", frame)
        inner = self.evaluate("() => ({width: innerWidth, height: innerHeight})")
        self.call("POST", "/window/rect", {side: 2 * frame[side] - inner[side] for side in frame})

    def goto(self, address: str) -> None:
        self.problems()  # of the page that is left
        self.call("POST", "/url", {"url": address})
        self.evaluate(LISTEN)

    def evaluate(self, function: str, *given: Any) -> Any:
        script = (
            f"return Promise.resolve(({function})(...arguments)).then((made) => JSON.stringify(made ?? null))"
        )
        return json.loads(self.call("POST", "/execute/sync", {"script": script, "args": given}))

    def act(self, *sources: dict[str, Any]) -> None:
        self.call("POST", "/actions", {"actions": sources})
        self.call("DELETE", "/actions")

    def picture(self) -> bytes:
        return base64.b64decode(self.call("GET", "/screenshot"))

    def asked(self) -> list[str]:
        return list(self.outside)

    def problems(self) -> list[str]:
        self.heard += self.evaluate("() => window.heardProblems?.splice(0) ?? []")
        return list(self.heard)


@contextmanager
def webkit(home: Path, environment: dict[str, str]) -> Iterator[WebKit]:
    """WebKit with a home of its own."""
    driver, binary = needed("WebKitWebDriver", PACKAGE), small_browser()
    downloads, settings = home / "downloads", home / ".config"
    downloads.mkdir()
    settings.mkdir()
    (settings / "user-dirs.dirs").write_text(f'XDG_DOWNLOAD_DIR="{downloads}"\n')
    environment = {**environment, **COMPILED, "XDG_CONFIG_HOME": str(settings)}
    port = free_port()
    command = [driver, f"--port={port}", "--host=127.0.0.1"]
    log = home / "said"
    with (
        asked_of_network() as (proxy, outside),
        log.open("w") as said,
        subprocess.Popen(command, env=environment, stdout=said, stderr=said) as running,
    ):
        try:
            listens(port, running, log)
            window = WebKit(f"http://127.0.0.1:{port}", downloads, outside)
            window.open_window(binary, proxy)
            try:
                yield window
            finally:
                window.call("DELETE", "")
        finally:
            running.terminate()


def small_browser() -> str:
    """The path of WebKit's own small browser."""
    if BROWSER:
        return needed(BROWSER, PACKAGE)
    found = [
        str(path) for folder in FOLDERS for path in Path("/usr", folder).glob("**/webkit*gtk-4*/MiniBrowser")
    ]
    assert found, (
        f"There is no MiniBrowser of WebKitGTK on this machine. Install it (Debian: apt-get install {PACKAGE})."
    )
    return max(found)
