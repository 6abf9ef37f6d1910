"""A builder's hand and eye in any browser: finds by role and name, and does it with the pointer and the keys."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from tests.web.conftest import picture_from_link
from tests.web.drivers.window import Window

PATIENCE = 120.0  # s to wait for what the page should come to; only a page that fails takes it all
LOOK = 0.1  # s between two looks
REST = 0.6  # s without a change after which the figure is drawn finely again, and then some
DRAG = 400  # ms over which the pointer is dragged

# What has a role and a name, of several the one of this row (-1 the last); behind a dialog, nothing. The roles are
# those that HTML gives its elements: https://www.w3.org/TR/html-aam-1.0/.
ELEMENT = """(role, name, which = 0) => {
    const roles = {
        button: "button", tab: "[role=tab]", slider: "input[type=range]", combobox: "select",
        textbox: "textarea, input:not([type]), input[type=text]",
    };
    const plain = (text) => text.replace(/\\s+/g, " ").trim();
    const called = (each) => plain(each.ariaLabel ?? each.labels?.[0]?.textContent ?? each.innerText);
    const room = [...document.querySelectorAll("dialog:modal")].at(-1) ?? document;
    const all = [...room.querySelectorAll(roles[role])];
    return all.filter((each) => each.checkVisibility() && !each.disabled && called(each) === name).at(which);
}"""
# Its left, top, width and height [px], once it stands still and nothing lies over its middle; null before.
PLACE = f"""async (role, name, which) => {{
    const found = ({ELEMENT})(role, name, which);
    if (!found) return null;
    found.scrollIntoView({{block: "nearest"}});
    const box = () => {{
        const {{x, y, width, height}} = found.getBoundingClientRect();
        return [x, y, width, height];
    }};
    const before = box();
    await new Promise((next) => requestAnimationFrame(() => requestAnimationFrame(next)));
    const now = box();
    const [x, y, width, height] = now;
    const over = document.elementFromPoint(x + width / 2, y + height / 2);
    return found.contains(over) && now.every((number, side) => number === before[side]) ? now : null;
}}"""
# How far along its length the thumb of a slider stands, 0 to 1.
SHARE = f"""(name) => {{
    const {{value, min, max}} = ({ELEMENT})("slider", name);
    return (value - min) / (max - min);
}}"""
# Makes a choice of a list; how that opens is the browser's own. False while it has no such choice.
CHOOSE = f"""(name, value) => {{
    const list = ({ELEMENT})("combobox", name);
    if (![...(list?.options ?? [])].some((each) => each.value === value)) return false;
    list.value = value;
    for (const kind of ["input", "change"]) list.dispatchEvent(new Event(kind, {{bubbles: true}}));
    return true;
}}"""


@dataclass(frozen=True)
class Hand:
    """What is done in a window, and what is waited for."""

    window: Window

    def until(self, look: Callable[[], Any], what: str) -> Any:
        """What a look finds at last; AssertionError where it finds nothing."""
        latest = time.monotonic() + PATIENCE
        while not (found := look()):  # ends with what is found or the time
            assert time.monotonic() < latest, f"{self.window.browser}: {what}; {self.window.problems()}"
            time.sleep(LOOK)
        return found

    def becomes(self, function: str, *given: Any) -> Any:
        """What a function of JavaScript makes at last that is true."""
        return self.until(lambda: self.window.evaluate(function, *given), f"{function} {given}")

    def reads(self, text: str) -> None:
        """Wait until a text stands in the page."""
        self.becomes("(text) => document.body.innerText.includes(text)", text)

    def find(self, role: str, name: str, which: int = 0) -> tuple[float, float, float, float]:
        """Left, top, width and height [px] of what has a role and a name and can be clicked."""
        return self.until(lambda: self.window.evaluate(PLACE, role, name, which), f"no {role} {name}")

    def click(self, role: str, name: str, which: int = 0) -> None:
        left, top, width, height = self.find(role, name, which)
        at = (left + width / 2, top + height / 2)
        self.drag(at, at)

    def drag(self, begin: tuple[float, float], end: tuple[float, float]) -> None:
        """The pointer pressed at a place and let go at another [px]."""
        moves = [place(begin, 0), {"type": "pointerDown", "button": 0}]
        if begin != end:
            way = np.linspace(begin, end, 6)[1:]
            moves += [place((x, y), DRAG // len(way)) for x, y in way]
        pointer = {"type": "pointer", "id": "mouse", "parameters": {"pointerType": "mouse"}}
        self.window.act({**pointer, "actions": [*moves, {"type": "pointerUp", "button": 0}]})

    def slide(self, name: str, share: float) -> None:
        """A slider dragged from where it stands to a share of its length."""
        left, top, width, height = self.find("slider", name)
        now = self.window.evaluate(SHARE, name)
        thumb = height  # its middle goes from half of it to half of it before the end
        x, y, long = left + thumb / 2, top + height / 2, width - thumb
        self.drag((x + now * long, y), (x + share * long, y))

    def type(self, text: str) -> None:
        """Keys pressed one after another, where the focus is."""
        keys = [{"type": kind, "value": key} for key in text for kind in ("keyDown", "keyUp")]
        self.window.act({"type": "key", "id": "keys", "actions": keys})

    def choose(self, name: str, value: str) -> None:
        """A choice of a list."""
        self.becomes(CHOOSE, name, value)

    def still(self) -> bytes:
        """The page as it is seen once nothing on it changes, as PNG; what moves is drawn coarsely for a moment."""
        seen = [b"", self.window.picture()]

        def same() -> bool:
            time.sleep(REST)
            seen[:] = [seen[1], self.window.picture()]
            return seen[0] == seen[1]

        self.until(same, "something on the page moves without end")
        return seen[1]

    def saved(self, name: str) -> bytes:
        """The bytes of what was saved under a name, once all of them are there."""
        path = self.window.downloads / name
        self.until(lambda: finished(path), f"{name} was not saved")
        return path.read_bytes()

    def stands_at(self, node: str, frames: Mapping[str, np.ndarray], size_mm: float) -> None:
        """Wait until parts are drawn in these frames (4, 4; mm), to 1e-5 of a turn and of the figure's size.

        `node` is the function of the page that tells where a part is drawn.
        """

        def off() -> float:
            drawn = self.window.evaluate(f"(names) => names.map((name) => {node}(name))", list(frames))
            if None in drawn:
                return np.inf
            each = np.array(drawn).reshape(-1, 4, 4).transpose(0, 2, 1)
            each[:, :3, :3] /= np.linalg.norm(
                each[:, :3, :3], axis=1, keepdims=True
            )  # parts in mm or in metres
            there = np.array([picture_from_link(frame) for frame in frames.values()])
            apart = np.abs(each - there)
            return float(max(apart[:, :3, :3].max(), apart[:, :3, 3].max() * 1000 / size_mm))

        self.until(lambda: off() < 1e-5, "the figure does not stand so")


def place(at: tuple[float, float], duration: int) -> dict[str, Any]:
    """A move of the pointer to a place [px] in some time [ms]; drivers want whole numbers."""
    return {
        "type": "pointerMove",
        "x": round(at[0]),
        "y": round(at[1]),
        "duration": duration,
        "origin": "viewport",
    }


def finished(path: Path) -> bool:
    """Whether a file is there and no longer grows."""
    if not path.exists() or list(path.parent.glob("*.part")) or list(path.parent.glob("*.wkdownload")):
        return False
    size = path.stat().st_size
    time.sleep(LOOK)
    return size > 0 and path.stat().st_size == size
