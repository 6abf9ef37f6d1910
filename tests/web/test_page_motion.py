"""Motion in the page: a show played, limits changed under way, cues recorded, and all of it taken out."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pygltflib
import pytest
from click.testing import CliRunner
from playwright.sync_api import Download, Locator, expect

import posekit
from posekit.clearance.left_out import grouped
from posekit.cli import main
from posekit.mechanism.joints import solve
from posekit.motion import Motion, follow
from posekit.pipeline import pose_at
from posekit.report.motion import following, motion_report
from posekit.signal.patch import snapshot_of
from posekit.stream import read_show
from posekit.stream.cue_file import parse
from tests.conftest import demo_prop
from tests.stream import packets
from tests.web.conftest import COARSE
from tests.web.test_page_access import OF_COLOURS, serious

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

FOLDER = Path(__file__).parents[2] / "models" / "heron"
HERON = demo_prop("heron")
NAMES = [drive.name for drive in HERON.drives]
BEAK = NAMES.index("beak")
FISHING = "shows/fishing.toml"
STRIKE = 16.5  # s; a third of a second after the values have jumped


def motion_of(prop: posekit.Prop = HERON, content: bytes | None = None, name: str = FISHING) -> Motion:
    show = read_show(prop, content or prop.files[name], name)
    return follow(prop, show.times, show.values)


@pytest.fixture(scope="session")
def told_by_command(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict, Path, Path]:
    """What the command line tells of the fishing heron, run once: its JSON, its curves and its animated GLB."""
    folder = tmp_path_factory.mktemp("motion")
    curves, moving = folder / "fishing.csv", folder / "fishing.glb"
    asked = ["motion", str(FOLDER), "fishing", "--json", "--csv", str(curves), "--glb", str(moving)]
    return json.loads(CliRunner().invoke(main, asked).output), curves, moving


def links_at(motion: Motion, time: float, *, commanded: bool = False) -> dict[str, np.ndarray]:
    shafts = motion.commanded([time]) if commanded else motion.position([time])
    placed = posekit.forward(HERON, solve(HERON, shafts).position)[0]
    return {link.name: placed[row] for row, link in enumerate(HERON.links)}


@pytest.fixture
def panel(bench) -> Iterator[Locator]:
    """The Motion panel with the show of the fishing heron."""
    panel = bench.tab("Motion")
    panel.get_by_label("Show", exact=True).select_option(FISHING)
    bench.page.locator("#dock").wait_for()
    yield panel


def play(bench) -> dict:
    return bench.page.evaluate(
        """() => {
            const {time, playing, held, part} = posekit.play();
            return {time, playing, held, drawn: part && {begin: part.begin, end: part.end}};
        }"""
    )


def curves(bench, begin: float, end: float) -> dict[str, np.ndarray]:
    """The curves that are drawn, once they are of this part."""
    expression = "() => { const {part} = posekit.play(); return part && [part.begin, part.end]; }"
    bench.becomes(expression, [begin, end])
    found = bench.page.evaluate(
        """() => Object.fromEntries(Object.entries(posekit.play().part.curves).filter(([, {data}]) => data).map(
            ([name, {data, shape}]) => [name, [Array.from(data), shape]]))"""
    )
    return {name: np.array(data, np.float32).reshape(shape) for name, (data, shape) in found.items()}


def seek(bench, time: float) -> None:
    bench.page.get_by_label("Time in the show").fill(str(time))


def saved(bench, press: Locator) -> Download:
    with bench.page.expect_download() as download:
        press.click()
    return download.value


def fold(panel: Locator, title: str) -> Locator:
    """A fold of the panel, open."""
    summary = panel.locator("summary", has_text=title)
    details = summary.locator("xpath=..")
    if details.get_attribute("open") is None:
        summary.click()
    return details


@pytest.mark.python("pyodide")
def test_the_curves_are_those_of_follow_to_the_last_bit_of_float32(bench, panel, shot) -> None:
    motion = motion_of()
    show = read_show(HERON, HERON.files[FISHING], FISHING)
    found = curves(bench, float(show.times[0]), float(show.times[-1]))
    times = np.linspace(show.times[0], show.times[-1], len(found["times"]))
    position, velocity, _ = motion.at(times)
    np.testing.assert_array_equal(found["position"], position.astype(np.float32))
    np.testing.assert_array_equal(found["velocity"], velocity.astype(np.float32))
    np.testing.assert_array_equal(found["commanded"], motion.commanded(times).astype(np.float32))
    assert bench.page.locator(".charts__plot canvas").count() == 2  # position and speed
    shot(bench, "motion")


def test_scrubbing_shows_the_real_pose_at_that_time(bench, panel) -> None:
    seek(bench, STRIKE)
    bench.stands_at(links_at(motion_of(), STRIKE))
    seek(bench, 3.0)
    bench.stands_at(links_at(motion_of(), 3.0))


# What the clock says and where the play is, picture by picture. It looks before the player does, so that each picture
# shows what the player made of the one before.
RECORD = """() => {
    const pictures = window.pictures = [];
    const look = (now) => {
        pictures.push([now / 1000, posekit.play().time]);
        if (pictures.length < 20000) requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
}"""
LEAP = 0.25  # s of the clock; a tab that was put aside goes on from where it was


def test_play_goes_on_in_the_time_of_the_clock_and_ends_at_rest(bench, panel) -> None:
    """However long the machine takes over a picture: the play goes on by what the clock did, or waits for Python."""
    seek(bench, 20.0)
    bench.page.get_by_label("Rate of play").select_option("2")
    bench.page.evaluate(RECORD)
    bench.page.get_by_role("button", name="Play", exact=True).click()
    bench.becomes("() => posekit.play().playing", False)
    clock, played = np.array(bench.page.evaluate("() => window.pictures")).T
    end = play(bench)["time"]
    assert end == pytest.approx(float(read_show(HERON, HERON.files[FISHING], FISHING).times[-1]))
    went, passed = np.diff(played)[1:], 2 * np.minimum(np.diff(clock)[:-1], LEAP)
    running = (went > 0) & (played[2:] < end)
    assert running.sum() >= 5
    # The first picture counts from the click, which came after the picture before it.
    np.testing.assert_allclose(went[running][1:], passed[running][1:], atol=1e-6)
    assert (went <= passed + 1e-6).all() and (went >= 0).all()
    bench.stands_at(links_at(motion_of(), end))


def test_a_loop_begins_again(bench, panel) -> None:
    seek(bench, 24.5)
    bench.page.get_by_role("button", name="Loop").click()
    bench.page.get_by_role("button", name="Play", exact=True).click()
    bench.becomes("() => posekit.play().time < 20 && posekit.play().playing", True)
    bench.page.get_by_role("button", name="Pause").click()
    assert not play(bench)["playing"]


def test_a_limit_that_is_moved_acts_while_the_show_plays_and_undo_brings_it_back(bench, panel, shot) -> None:
    bench.page.get_by_role("button", name="Loop").click()
    bench.page.get_by_role("button", name="Play", exact=True).click()
    slider = panel.locator("[data-drive=beak]").get_by_label("Speed")
    slider.focus()
    bench.page.keyboard.press("Home")
    bench.becomes("() => posekit.work().text.includes('speed = 5')", True)
    slowed = posekit.edit(HERON, "drives.beak.speed", 5)
    assert play(bench)["playing"]
    end = play_end(slowed)
    fastest = f"""() => {{
        const {{part}} = posekit.play();
        const own = part.curves.velocity.data.filter((_, index) => index % {len(NAMES)} === {BEAK});
        return Math.max(...own.map(Math.abs));
    }}"""
    bench.becomes(fastest, 5)
    found = curves(bench, 0.0, end)
    times = np.linspace(0.0, end, len(found["times"]))
    np.testing.assert_array_equal(found["position"], motion_of(slowed).position(times).astype(np.float32))
    shot(bench, "motion-slowed")
    bench.page.get_by_role("button", name="Pause").click()
    seek(bench, STRIKE)
    bench.stands_at(links_at(motion_of(slowed), STRIKE))
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", HERON.text)
    bench.stands_at(links_at(motion_of(), STRIKE))


def play_end(prop: posekit.Prop) -> float:
    """When the show has ended and everything rests."""
    show = read_show(prop, prop.files[FISHING], FISHING)
    last = posekit.motion.segments(motion_of(prop)).settled
    return max(float(show.times[-1]), last)


def test_the_ghost_stands_where_the_drives_are_sent(bench, panel, shot) -> None:
    seek(bench, STRIKE)
    bench.stands_at(links_at(motion_of(), STRIKE))
    bench.page.get_by_role("button", name="Commanded pose beside the real one").click()
    wanted = links_at(motion_of(), STRIKE, commanded=True)
    place = wanted["head"][:3, 3] / 1000
    for _ in bench.looks():
        ghost = bench.page.evaluate("() => posekit.ghost('head')")
        if ghost is not None:
            break
    np.testing.assert_allclose(ghost[12:15], [place[1], place[2], place[0]], atol=1e-5)
    bench.stands_at(links_at(motion_of(), STRIKE))
    shot(bench, "motion-ghost")


@pytest.mark.own_page
def test_two_cues_are_recorded_timed_ordered_played_and_undone(bench, shot, tmp_path) -> None:
    bench.page.get_by_label("beak", exact=True).fill("200")
    panel = bench.tab("Motion")
    panel.get_by_label("Name of a new show").fill("Mine")
    panel.get_by_role("button", name="Begin with this pose").click()
    panel.get_by_label("Name of cue 1").wait_for()
    bench.page.get_by_role("tab", name="Channels").click()
    bench.page.get_by_label("head_turn", exact=True).fill("40")
    panel = bench.tab("Motion")
    panel.get_by_role("button", name="Record this pose as a cue").click()
    name = panel.get_by_label("Name of cue 2")
    name.fill("look")
    name.press("Tab")
    fade = panel.locator("#cue-1-fade")
    bench.becomes("() => document.querySelector('#cue-1-name')?.value", "look")
    fade.fill("0.5")
    fade.press("Tab")
    bench.becomes("() => posekit.play().part?.end < 5", True)
    panel.get_by_role("button", name="Move cue look up").click()
    bench.becomes("() => document.querySelector('#cue-0-name')?.value", "look")

    recorded = bench.page.evaluate("() => posekit.file('shows/Mine.toml')").encode()
    first, second = parse(recorded, "Mine.toml")[0].cues
    assert (first.name, first.fade, first.values["head_turn"], first.values["beak"]) == ("look", 0.5, 40, 200)
    assert (second.name, second.fade, second.values["beak"]) == ("1", 2.0, 200)
    assert second.values["head_turn"] == HERON.drives[NAMES.index("head_turn")].rest_value

    seek(bench, 1.0)
    bench.stands_at(links_at(motion_of(HERON, recorded, "shows/Mine.toml"), 1.0))
    shot(bench, "motion-cues")
    for _ in range(3):
        bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => document.querySelector('#cue-1-name')?.value", "2")
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => document.querySelector('#cue-1-name')", None)
    bench.page.get_by_text("Saved in this browser").wait_for()
    bench.page.reload()
    bench.posed()
    assert "Mine.toml" in bench.tab("Motion").get_by_label("Show", exact=True).inner_text()


def test_a_hand_on_a_channel_leaves_the_show(bench, panel) -> None:
    seek(bench, STRIKE)
    bench.stands_at(links_at(motion_of(), STRIKE))
    bench.page.get_by_role("tab", name="Channels").click()
    bench.page.get_by_label("head_turn", exact=True).fill("90")
    values = [90 if drive.name == "head_turn" else drive.rest_value for drive in HERON.drives]
    bench.stands_as(pose_at(HERON, values))


def test_readings_tell_what_the_command_line_tells(bench, panel, shot, told_by_command) -> None:
    told, _, _ = told_by_command
    readings = fold(panel, "Readings")
    readings.get_by_role("table", name="How each drive follows").wait_for()
    for name, drive in told["drives"].items():
        row = readings.get_by_role("table", name="How each drive follows").get_by_role("row", name=name)
        cells = [text.replace("−", "-") for text in row.get_by_role("cell").all_inner_texts()]
        assert cells[0] == (
            "yes" if drive["arrives"] else f"no: {drive['missed']} of {drive['stops']} missed"
        )
        assert float(cells[1]) == pytest.approx(drive["lag_s"], abs=0.0051)
        assert float(cells[4]) == pytest.approx(drive["top_speed"], rel=6e-3)
    readings.get_by_text(following(posekit.motion.readings(HERON, motion_of()))).wait_for()
    late = [finding for finding in told["findings"] if finding["code"] == "not-arriving"]
    assert late and all(finding["message"] in readings.inner_text() for finding in late)
    shot(bench, "motion-readings")


def test_two_settings_stand_side_by_side(bench, panel) -> None:
    readings = fold(panel, "Readings")
    readings.get_by_role("table", name="How each drive follows").wait_for()
    fold(readings, "Two settings side by side").get_by_role("button", name="Keep this setting").click()
    slider = panel.locator("[data-drive=beak]").get_by_label("Speed")
    slider.focus()
    bench.page.keyboard.press("Home")
    row = readings.get_by_role("table", name="Two settings side by side").get_by_role("row", name="beak")
    bench.becomes(
        """() => [...document.querySelectorAll('.sheet caption')].find(({textContent}) => textContent.startsWith('Two'))
            ?.parentElement.querySelector('tbody tr:nth-child(5) td:nth-child(3)')?.textContent.trim()""",
        "5.00",
    )
    cells = row.get_by_role("cell").all_inner_texts()
    assert (cells[0].strip(), cells[1].strip()) == ("400", "5.00")
    assert float(cells[5]) > float(cells[4])


def test_suggested_limits_are_taken_in_one_step(bench, panel) -> None:
    gentler = fold(panel, "Gentler limits")
    gentler.get_by_label("Late by at most, s").fill("1")
    gentler.get_by_role("button", name="Find the gentlest limits").click()
    gentler.get_by_role("button", name="Use these limits").click()
    gentler.get_by_text("Limits set.").wait_for()
    show = read_show(HERON, HERON.files[FISHING], FISHING)
    found = posekit.motion.suggest(HERON, show, 1.0)
    text = bench.work()["text"]
    taken = posekit.read({**HERON.files, "prop.toml": text.encode()})
    np.testing.assert_allclose([drive.speed for drive in taken.drives], found.limits.speed, rtol=1e-12)
    np.testing.assert_allclose(
        [drive.acceleration for drive in taken.drives], found.limits.acceleration, rtol=1e-12
    )
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", HERON.text)


@pytest.mark.python("pyodide")
def test_csv_and_glb_are_those_of_the_command_line(bench, panel, tmp_path, told_by_command) -> None:
    _, curves, moving = told_by_command
    out = fold(panel, "Export")
    saved(bench, out.get_by_role("button", name="Curves of all drives")).save_as(tmp_path / "b.csv")
    assert (tmp_path / "b.csv").read_text() == curves.read_text()
    saved(bench, out.get_by_role("button", name="Animated GLB")).save_as(tmp_path / "b.glb")
    here, there = keys_of(tmp_path / "b.glb"), keys_of(moving)
    assert len(here) == len(there) > 8
    for one, other in zip(here, there, strict=True):
        np.testing.assert_allclose(one, other, rtol=0.0, atol=1e-6)
    drawing = saved(bench, out.get_by_role("button", name="Curves as drawn"))
    assert Path(drawing.path()).read_bytes().startswith(b"\x89PNG")


def keys_of(path: Path) -> list[np.ndarray]:
    """What the samplers of the animation hold, times and keys, each flat."""
    glb = pygltflib.GLTF2().load(path)
    blob = glb.binary_blob()
    found = []
    for sampler in glb.animations[0].samplers:
        for accessor in (glb.accessors[sampler.input], glb.accessors[sampler.output]):
            at = (glb.bufferViews[accessor.bufferView].byteOffset or 0) + (accessor.byteOffset or 0)
            width = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}[accessor.type]
            found.append(np.frombuffer(blob, "<f4", accessor.count * width, at))
    return found


@pytest.mark.parametrize("setting", [COARSE], indirect=True)
def test_a_film_is_webm_and_not_empty(bench, panel, tmp_path) -> None:
    seek(bench, 23.0)
    film = bench.page.get_by_role("button", name="Film this view")
    done = saved(bench, film)  # it ends with the show
    assert done.suggested_filename == "Fishing.webm"
    content = Path(done.path()).read_bytes()
    assert content[:4] == bytes.fromhex("1a45dfa3")  # EBML, RFC 8794
    assert b"webm" in content[:64] and len(content) > 10_000


def test_the_first_strike_is_told_with_its_time_and_shown(bench, shot) -> None:
    rest = "\n".join(f"0,1,{slot},{value}" for slot, value in slots(rest_values()).items())
    rows = "\n".join(f"1,1,{slot},{value}" for slot, value in {1: 255, 2: 255, 3: 255, 4: 255, 5: 60}.items())
    recording = f"time,universe,address,value\n{rest}\n{rows}\n4,1,7,0\n".encode()
    bench.drop("lean.csv", recording)
    panel = bench.tab("Motion")
    strikes = fold(panel, "Strikes during the show")
    strikes.get_by_role("button", name="Find the first strike").click()
    told = strikes.locator(".finding--error").first
    told.wait_for()
    assert "touch or overlap first at" in told.inner_text()
    at = strikes.get_by_role("button", name="Go to").first
    at.click()
    shot(bench, "motion-strike")
    time = play(bench)["time"]
    show = read_show(HERON, recording, "lean.csv")
    motion = follow(HERON, show.times, show.values)
    apart = [
        posekit.clearance.distances(HERON, solve(HERON, motion.position([t])).position).min()
        for t in (time - 0.02, time + 0.002)
    ]
    assert apart[0] > 0.0 == apart[1]


def test_a_recording_of_one_frame_is_looked_at_as_well(bench) -> None:
    values = slots(rest_values()) | {1: 255, 2: 255, 3: 255, 4: 255, 5: 60}
    rows = "".join(f"0,1,{slot},{value}\n" for slot, value in values.items())
    bench.drop("stands.csv", f"time,universe,address,value\n{rows}".encode())
    strikes = fold(bench.tab("Motion"), "Strikes during the show")
    strikes.get_by_role("button", name="Find the first strike").click()
    strikes.get_by_text("touch or overlap first at 0.000 s").first.wait_for()
    assert strikes.get_by_text("Nothing strikes").count() == 0


def rest_values() -> list[int]:
    return [drive.rest_value for drive in HERON.drives]


def slots(values: list[int]) -> dict[int, int]:
    return {address: byte for (_, address), byte in snapshot_of(HERON, values).slots.items()}


def test_a_show_that_strikes_nothing_says_so(bench, panel) -> None:
    strikes = fold(panel, "Strikes during the show")
    strikes.get_by_role("button", name="Find the first strike").click()
    told = motion_report(HERON, read_show(HERON, HERON.files[FISHING], FISHING))
    for finding in told.findings:
        if finding.code == "near":
            strikes.get_by_text(finding.message).wait_for()
    nothing = (
        "Nothing strikes in this show, but" if told.strikes else told.summary.split("Nothing strikes")[1]
    )
    strikes.get_by_text(nothing).wait_for()
    strikes.locator("summary", has_text="Left out").click()
    rows = strikes.locator(".left-out li").all_inner_texts()
    assert rows == [f"{parts.replace(' - ', ' – ')} {why}" for parts, why in grouped(told.left_out)]


def test_a_broken_recording_is_told_with_its_row_and_the_rest_of_it_is_played(bench, shot) -> None:
    bench.drop("rec.csv", b"time,universe,address,value\n0,1,7,0\n0.5,1,7,255\n0.4,1,7,3\n2,1,7,9\n")
    panel = bench.tab("Motion")
    told = panel.locator(".finding--error").first
    told.wait_for()
    assert "row 4" in told.inner_text() and "goes back" in told.inner_text()
    bench.becomes("() => posekit.play().part?.end >= 2", True)
    shot(bench, "motion-recording")


HOLD_KEEPING = """() => {
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, ...rest) {
        if (message.method !== "keep_file") return post.call(this, message, ...rest);
        Worker.prototype.postMessage = post;
        window.keepOn = () => post.call(this, message, ...rest);
    };
}"""


def test_who_leaves_the_panel_of_a_dropped_show_while_it_is_kept_is_not_brought_back(bench) -> None:
    bench.page.evaluate(HOLD_KEEPING)
    content = b'format = 1\nname = "Nod"\n[[cues]]\nname = "1"\nhold = 1.0\nvalues = {head_turn = 9}\n'
    bench.drop("nod.toml", content)
    expect(bench.page.get_by_role("tab", name="Motion")).to_have_attribute("aria-selected", "true")
    bench.becomes("() => typeof window.keepOn", "function")
    bench.tab("Looks")
    bench.page.evaluate("() => keepOn()")
    bench.becomes("() => posekit.file('shows/nod.toml') !== null", True)
    bench.quiet()
    expect(bench.page.get_by_role("tab", name="Looks")).to_have_attribute("aria-selected", "true")


@pytest.mark.python("pyodide")
def test_a_dropped_capture_is_played(bench) -> None:
    low, high = (
        packets.data(sequence=number, slots=bytes([0] * 6 + [beak])) for number, beak in enumerate((0, 255))
    )
    frames = [(10.0, packets.ethernet(low)), (11.0, packets.ethernet(high)), (13.0, packets.ethernet(high))]
    content = packets.pcap(frames)
    bench.drop("tap.pcap", content)
    show = read_show(HERON, content, "tap.pcap")
    motion = follow(HERON, show.times, show.values)
    end = max(float(show.times[-1]), posekit.motion.segments(motion).settled)
    found = curves(bench, 0.0, end)
    times = np.linspace(0.0, end, len(found["times"]))
    np.testing.assert_array_equal(found["position"], motion.position(times).astype(np.float32))
    assert found["position"][-1, BEAK] > 30.0


@pytest.mark.parametrize("rate", ["16", "60"])
def test_a_loop_goes_round_and_round_at_any_rate(bench, panel, rate: str) -> None:
    bench.page.get_by_label("Rate of play").select_option(rate)
    bench.page.get_by_role("button", name="Loop").click()
    bench.page.get_by_role("button", name="Play", exact=True).click()
    rounds = bench.page.evaluate(
        """async () => {
            let [rounds, before] = [0, 0];
            const until = performance.now() + 90_000;
            while (rounds < 4 && performance.now() < until) {
                await new Promise(requestAnimationFrame);
                const {time} = posekit.play();
                rounds += time < before;
                before = time;
            }
            return rounds;
        }"""
    )
    assert rounds == 4 and play(bench)["held"] <= 180


def test_the_time_line_is_worked_by_keys(bench, panel) -> None:
    scrub = bench.page.get_by_label("Time in the show")
    scrub.focus()
    bench.page.keyboard.press("End")
    assert play(bench)["time"] == pytest.approx(25.15, abs=0.02)
    bench.page.keyboard.press("Home")
    bench.page.keyboard.press("ArrowRight")
    assert play(bench)["time"] == pytest.approx(0.02)
    bench.page.keyboard.press("Space")
    assert play(bench)["playing"]
    bench.page.keyboard.press("Space")
    assert not play(bench)["playing"]
    assert "stand" in scrub.get_attribute("aria-valuetext")


@pytest.mark.parametrize("setting", [{"reduced_motion": "reduce"}], indirect=True)
def test_nothing_moves_by_itself_for_who_wants_less_motion(bench, panel) -> None:
    bench.page.wait_for_timeout(500)
    assert not play(bench)["playing"] and play(bench)["time"] == 0.0
    bench.stands_as(pose_at(HERON, rest_values()))


def test_after_a_crash_the_show_goes_on_from_where_it_was(bench, panel) -> None:
    seek(bench, STRIKE)
    bench.stands_at(links_at(motion_of(), STRIKE))
    bench.page.evaluate("() => posekit.crash()")
    bench.page.get_by_role("button", name="Start it again").click()
    bench.becomes("() => document.documentElement.dataset.engine", "ready")
    seek(bench, 10.0)
    bench.stands_at(links_at(motion_of(), 10.0))


def test_axe_finds_nothing_in_the_time_line_and_the_panel(bench, panel) -> None:
    for title in (
        "Cues",
        "Readings",
        "Gentler limits",
        "Strikes during the show",
        "Export",
        "Curves as a table",
    ):
        fold(panel, title)
    panel.get_by_role("table", name="How each drive follows").wait_for()
    bench.page.emulate_media(color_scheme="light")
    assert serious(bench) == []
    bench.page.emulate_media(color_scheme="dark")
    assert serious(bench, OF_COLOURS) == []
