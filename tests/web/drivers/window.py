"""What the tests ask of a browser that Playwright does not drive: the words that both forms of W3C WebDriver share."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Protocol

ANSWER = 300.0  # s to wait for a browser; the machine does other things, too
SIZE = (1280, 800)  # px of a window's page


class Window(Protocol):
    """A window of a browser of its own, which has never seen the page."""

    browser: str
    downloads: Path  # where it puts what is saved

    def goto(self, address: str) -> None:
        """Open an address and wait until its document is there."""

    def evaluate(self, function: str, *given: Any) -> Any:
        """What a function of JavaScript makes of what is given, by JSON; AssertionError with what it throws."""

    def act(self, *sources: dict[str, Any]) -> None:
        """What a hand does, as input sources with their actions: https://www.w3.org/TR/webdriver2/#actions."""

    def picture(self) -> bytes:
        """The page as it is seen, as PNG."""

    def asked(self) -> list[str]:
        """What was asked of the network, or for the page outside its own address."""

    def problems(self) -> list[str]:
        """What the page complained of in the console, and what it threw."""
