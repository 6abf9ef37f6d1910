"""The picture gives way while something moves, is fine at rest, and is not drawn for nothing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

# Counts pictures of the figure, each of which begins by clearing its depths, and poses asked of Python.
COUNT = """() => {
    const {clear} = WebGL2RenderingContext.prototype;
    const {postMessage} = Worker.prototype;
    const frame = requestAnimationFrame;
    window.counted = {draws: 0, poses: 0};
    window.uncounted = () => {
        WebGL2RenderingContext.prototype.clear = clear;
        Worker.prototype.postMessage = postMessage;
        delete document.hidden;
        window.requestAnimationFrame = frame;
    };
    WebGL2RenderingContext.prototype.clear = function (bits) {
        if (bits & this.DEPTH_BUFFER_BIT && !this.getParameter(this.FRAMEBUFFER_BINDING)) counted.draws += 1;
        return clear.call(this, bits);
    };
    Worker.prototype.postMessage = function (message, ...rest) {
        if (message.method === "pose") counted.poses += 1;
        return postMessage.call(this, message, ...rest);
    };
}"""
# Moves the first slider under a pointer, so many times in one frame.
MOVES = """(times) => {
    const slider = document.querySelector(".channel input[type=range]");
    for (let time = 0; time < times; time += 1) {
        slider.value = String(Number(slider.value) === 40 ? 90 : 40 + time);
        slider.dispatchEvent(new InputEvent("input", {bubbles: true}));
    }
}"""
PRESS, LIFT = (
    f"""() => document.querySelector(".channel input[type=range]").dispatchEvent(
        new PointerEvent("{what}", {{bubbles: true, isPrimary: true}}))"""
    for what in ("pointerdown", "pointerup")
)
FRAMES = """async (count) => {
    for (let frame = 0; frame < count; frame += 1) await new Promise((next) => requestAnimationFrame(next));
    return {...counted};
}"""
WIDE = "() => document.querySelector('canvas').width"


@pytest.fixture
def counted(bench) -> Iterator[None]:
    bench.tab("Channels")
    bench.page.evaluate(COUNT)
    yield
    bench.page.evaluate(LIFT)
    bench.page.evaluate("() => uncounted()")


def test_it_gives_way_while_a_slider_moves_and_is_fine_and_still_at_rest(bench, counted) -> None:
    fine = bench.page.evaluate(
        "() => Math.floor(document.querySelector('canvas').clientWidth * Math.min(devicePixelRatio * 1.5, 2))"
    )
    bench.becomes(WIDE, fine)
    bench.page.evaluate(PRESS)
    for _ in bench.looks():
        bench.page.evaluate(MOVES, 1)
        if bench.page.evaluate(WIDE) < fine:
            break
    else:
        raise AssertionError("it never gave way")
    bench.page.evaluate(LIFT)
    bench.becomes(WIDE, fine)
    bench.quiet()
    before = bench.page.evaluate(FRAMES, 3)
    assert bench.page.evaluate(FRAMES, 6)["draws"] == before["draws"]


def test_many_moves_within_a_frame_are_few_poses_and_pictures(bench, counted) -> None:
    bench.page.evaluate(PRESS)
    bench.page.evaluate(MOVES, 40)
    bench.quiet()
    found = bench.page.evaluate(FRAMES, 2)
    assert 1 <= found["poses"] <= 2  # the first, and the newest of all that came meanwhile
    assert found["draws"] <= 6  # each pose, its clearances, and where they are no more


def test_nothing_is_drawn_where_nobody_looks(bench, counted) -> None:
    """A page that is hidden gets no frames."""
    bench.page.evaluate(PRESS)
    bench.page.evaluate(MOVES, 1)
    bench.quiet()
    bench.page.evaluate(FRAMES, 3)
    held = bench.page.evaluate(
        """() => {
            window.held = [];
            window.requestAnimationFrame = (then) => held.push(then);
            Object.defineProperty(document, "hidden", {value: true, configurable: true});
            return counted.draws;
        }"""
    )
    bench.page.evaluate(MOVES, 2)
    bench.becomes("() => counted.poses >= 2", True)
    bench.quiet()
    assert bench.page.evaluate("() => counted.draws") == held
    # Three frames: what asks for the next one in each would hold a single round up for good.
    bench.page.evaluate(
        """() => {
            for (let frame = 0; frame < 3; frame += 1) for (const then of held.splice(0)) then(performance.now());
        }"""
    )
    assert bench.page.evaluate("() => counted.draws") > held
