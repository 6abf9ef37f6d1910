"""Firefox as Debian has it, by WebDriver BiDi (https://www.w3.org/TR/webdriver-bidi/), which it speaks by itself."""

from __future__ import annotations

import base64
import json
import os
import re
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic, sleep
from typing import Any

from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect

from tests.web.drivers.screen import needed
from tests.web.drivers.window import ANSWER, SIZE

COMMAND = os.environ.get("POSEKIT_FIREFOX", "firefox-esr")
OWN = ("file:", "data:", "blob:", "about:")


@dataclass
class Firefox:
    """A tab of Firefox: a Window."""

    wire: ClientConnection
    downloads: Path
    browser: str = "firefox"
    tab: str = ""
    calls: int = 0
    heard: list[dict[str, Any]] = field(default_factory=list)

    def call(self, method: str, **params: Any) -> Any:
        """What a command answers; events that come meanwhile are kept."""
        self.calls += 1
        self.wire.send(json.dumps({"id": self.calls, "method": method, "params": params}))
        while True:  # ends with the answer; without one, `recv` raises
            came = json.loads(self.wire.recv(ANSWER))
            if came["type"] == "event":
                self.heard.append(came)
            elif came["id"] == self.calls:
                assert came["type"] == "success", f"{method}: {came.get('message')}"
                return came["result"]

    def open_tab(self) -> None:
        self.call("session.new", capabilities={})
        self.call("session.subscribe", events=["network.beforeRequestSent", "log.entryAdded"])
        allowed = {"type": "allowed", "destinationFolder": str(self.downloads)}
        self.call("browser.setDownloadBehavior", downloadBehavior=allowed)
        self.tab = self.call("browsingContext.create", type="tab")["context"]
        width, height = SIZE
        self.call(
            "browsingContext.setViewport", context=self.tab, viewport={"width": width, "height": height}
        )

    def goto(self, address: str) -> None:
        self.call("browsingContext.navigate", context=self.tab, url=address, wait="complete")

    def evaluate(self, function: str, *given: Any) -> Any:
        said = self.call(
            "script.evaluate",
            expression=f"(async () => JSON.stringify((await ({function})(...{json.dumps(given)})) ?? null))()",
            target={"context": self.tab},
            awaitPromise=True,
        )
        assert said["type"] == "success", said["exceptionDetails"]["text"]
        return json.loads(said["result"]["value"])

    def act(self, *sources: dict[str, Any]) -> None:
        self.call("input.performActions", context=self.tab, actions=list(sources))
        self.call("input.releaseActions", context=self.tab)

    def picture(self) -> bytes:
        return base64.b64decode(self.call("browsingContext.captureScreenshot", context=self.tab)["data"])

    def asked(self) -> list[str]:
        requests = [each["params"] for each in self.events("network.beforeRequestSent")]
        urls = [each["request"]["url"] for each in requests if each["context"] == self.tab]
        return [url for url in urls if not url.startswith(OWN)]

    def problems(self) -> list[str]:
        entries = [each["params"] for each in self.events("log.entryAdded")]
        ours = [each for each in entries if each["source"].get("context") == self.tab]
        return [each["text"] for each in ours if each["level"] == "error"]

    def events(self, method: str) -> list[dict[str, Any]]:
        """What was told until now; an answer comes after all that was told before it."""
        self.call("browsingContext.getTree")
        return [each for each in self.heard if each["method"] == method]


@contextmanager
def firefox(home: Path, environment: dict[str, str]) -> Iterator[Firefox]:
    """Firefox with a profile of its own, below `home`."""
    profile, downloads = home / "profile", home / "downloads"
    profile.mkdir()
    downloads.mkdir()
    path = needed(COMMAND, "firefox-esr")
    command = [path, "--remote-debugging-port=0", "--profile", str(profile), "--no-remote", "--new-instance"]
    log = home / "said"
    with (
        log.open("w") as said,
        subprocess.Popen(command, env=environment, stderr=said, stdout=said) as running,
    ):
        try:
            with connect(f"{listening(running, log)}/session", max_size=None) as wire:
                window = Firefox(wire, downloads)
                window.open_tab()
                yield window
                with suppress(ConnectionClosed):  # it may go before it has answered
                    window.call("browser.close")
        finally:
            running.terminate()


def listening(running: subprocess.Popen[bytes], log: Path) -> str:
    """Where it can be spoken to, once it says so."""
    until = monotonic() + ANSWER
    while running.poll() is None and monotonic() < until:  # ends with the browser or the time
        if found := re.search(r"WebDriver BiDi listening on (ws://\S+)", log.read_text()):
            return found[1]
        sleep(0.1)
    raise AssertionError(f"Firefox does not listen: {log.read_text()[-2000:]}")
