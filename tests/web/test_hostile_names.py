"""A prop whose every name and note would be markup if it were let: words at each door that leads to people."""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable, Iterator
from functools import partial
from http.server import ThreadingHTTPServer
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, Page, expect

import posekit
from posekit.cli import main
from posekit.prop.fingerprint import fingerprint
from posekit.report.figures import figures_csv
from posekit.report.sheet import sheet
from posekit.text import printable
from tests.web.conftest import Bench, profile_of
from tests.web.test_director_file import DESK, opened
from tests.web.test_page_site import Quiet

pytestmark = [pytest.mark.native, pytest.mark.page, pytest.mark.timeout(600)]

STRIKES = "<img src=x onerror=\"document.title='hit'\"></script>\u202e"
LOOK = "&lt;b&gt; 'a'\u202e"  # what is markup to the letter no file can be called
LONG = STRIKES + "x" * (10_000 - len(STRIKES))


# What comes after a mark that turns letters round in the same paragraph, as far as nothing keeps it apart (Unicode
# Standard Annex 9): that would be turned, too.
TURNED = """() => {
    const apart = (element) => {
        const {display, unicodeBidi} = getComputedStyle(element);
        return display !== "inline" || unicodeBidi !== "normal";
    };
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found = [];
    while (walk.nextNode()) {
        const {data, parentElement} = walk.currentNode;
        if (!data.includes("\u202e") || parentElement.matches("p[dir=auto]")) continue; // the whole of it is theirs
        let paragraph = parentElement;
        while (!apart(paragraph)) paragraph = paragraph.parentElement;
        const theirs = /\u2068[^\u2068\u2069]*\u2069/gu; // isolates
        const turned = paragraph.textContent.replaceAll(theirs, "").split("\u202e").slice(1).join("").trim();
        if (turned) found.push(`${paragraph.outerHTML.slice(0, 200)}: ${turned.slice(0, 60)}`);
    }
    return found;
}"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of the prop, with two looks, a show, and notes of 10,000 letters."""
    place = tmp_path_factory.mktemp("hostile") / "prop"
    for inside in ("looks", "shows"):
        (place / inside).mkdir(parents=True)
    text = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_text()
    for name in ("Arm", "standard", "base", "arm", "shoulder"):
        hostile = json.dumps(f"{name}{STRIKES}")
        text = re.sub(rf'"{name}"', lambda _, to=hostile: to, text)
        text = re.sub(rf"(?m)^(\[+\w+\.){name}(?=[.\]])", lambda found, to=hostile: found[1] + to, text)
    (place / "prop.toml").write_text(text)
    for look, value in ((LOOK, 20), (f"too {LOOK}", 200)):
        (place / "looks" / f"{look}.csv").write_text(f"universe,address,value\n1,1,{value}\n")
    named = f"name = {json.dumps(STRIKES)}"
    cues = f'format = 1\n{named}\n[[cues]]\n{named}\nlook = "looks/{LOOK}.csv"\n'
    (place / "shows" / "&lt;b&gt;.toml").write_text(cues)
    prop = posekit.load(place)
    made = {"made": "2026-11-26T10:00:00Z", "kind": "note", "by": STRIKES, "text": LONG, "answer": LONG}
    notes = [
        {**made, "id": "a" * 32, "part": f"arm{STRIKES}", "point_mm": [0, 0, 60]},
        {**made, "id": "b" * 32, "look": LOOK, "kind": "change", "done": "2026-11-27T10:00:00Z"},
        {**made, "id": "c" * 32, "part": STRIKES, "prop": STRIKES},  # no such part
    ]
    top = {"posekit_notes": 1, "prop": prop.name, "fingerprint": fingerprint(prop), "file_made": "2026-11-26"}
    (place / "notes.json").write_text(json.dumps({**top, "notes": notes}))
    return place


def stands_as_words(page: Page, *, told: str = printable(STRIKES)) -> None:
    """Nothing struck, no element came of a name, and no letters are turned round; the name is there to be read."""
    assert page.title() != "hit"
    assert page.locator("img[src=x]").count() == 0
    seen = page.evaluate("() => document.body.textContent")
    assert told in seen
    turned = page.evaluate(TURNED)
    assert not turned, "\n".join(turned)


def test_in_the_directors_file(
    folder: Path, address: str, browsers: Callable[[bool], Browser], tmp_path: Path
) -> None:
    place = tmp_path / "file.html"
    done = CliRunner().invoke(main, ["export", str(folder), "--html", str(place)])
    assert done.exit_code == 0, done.output
    with opened(browsers(False), place, DESK) as page:
        stands_as_words(page)
        for look in page.locator(".chip").all():
            look.click()
        earlier = page.get_by_role("region", name="Earlier notes")
        assert earlier.locator(".note__text").first.text_content() == LONG
        earlier.get_by_role("button").first.click()
        page.get_by_role("button", name="Note", exact=True).click()
        stands_as_words(page)


@pytest.mark.parametrize("words", [["sheet"], ["sheet", "--cards"], ["export", "--sheet"]])
def test_on_paper(
    folder: Path, browsers: Callable[[bool], Browser], tmp_path: Path, words: list[str]
) -> None:
    place = tmp_path / "paper.html"
    command, *options = words
    out = [str(place)] if "--sheet" in options else ["-o", str(place)]
    done = CliRunner().invoke(main, [command, str(folder), *options, *out])
    assert done.exit_code in (0, 1), done.output
    page = browsers(False).new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(place.as_uri())
    stands_as_words(page)
    assert page.locator("script, img, a, iframe").count() == 0
    assert [url for url in asked if not url.startswith("data:image/png;base64,")] == [place.as_uri()]
    page.close()


@pytest.mark.parametrize("ending", [".csv", ".md"])
def test_in_text(folder: Path, tmp_path: Path, ending: str) -> None:
    """What a spreadsheet would run, and what Markdown would mark up, is judged in tests/output/test_sheets.py."""
    place = tmp_path / f"sheet{ending}"
    assert CliRunner().invoke(main, ["sheet", str(folder), "-o", str(place)]).exit_code in (0, 1)
    text = place.read_text()
    assert "\u202e" not in text and "onerror" in text
    if ending == ".md":
        assert not re.search(r"(?<!\\)<img", text)


@pytest.fixture
def site(folder: Path, address: str, tmp_path: Path) -> Iterator[str]:
    """A site with the prop, in a folder of a plain host; `address` saw to the build of the page."""
    (tmp_path / "on").mkdir()
    done = CliRunner().invoke(main, ["site", str(tmp_path / "on" / "tour"), str(folder), "--notes"])
    assert done.exit_code == 0, done.output
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(tmp_path))) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/on/tour/"
        server.shutdown()
        thread.join()


def test_in_every_panel_of_the_page_on_a_site(
    site: str, folder: Path, browsers: Callable[[bool], Browser], tmp_path: Path
) -> None:
    """The page that `posekit show` serves, to a phone as well, is the same one."""
    context = profile_of(browsers(False), {})
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda problem: problems.append(str(problem)))
    page.goto(site)
    bench = Bench(page, site)
    bench.posed()
    for tab in page.get_by_role("tab").all():
        tab.click()
        bench.quiet()
    stands_as_words(page)

    notes = bench.tab("Notes")
    assert notes.locator(".note__words").first.text_content() == printable(STRIKES) + LONG[len(STRIKES) :]
    notes.get_by_role("button", name="Show note 1").click()
    expect(page.locator(".label--pin").first).to_be_visible()

    filled = tmp_path / "filled.csv"
    content = figures_csv(sheet(posekit.load(folder)))
    filled.write_bytes(re.sub(rb'("low pulse",1000,"us",)""', rb"\g<1>990", content))
    panel = bench.tab("Sheets")
    panel.get_by_label("A CSV of the sheets that was filled in").set_input_files(filled)
    panel.get_by_text("figures measured").wait_for()
    panel.get_by_role("button", name="Show the sheets").click()
    in_the_look = "() => document.querySelector('.paper')?.shadowRoot?.querySelectorAll('table').length > 0"
    bench.becomes(in_the_look, True)
    inside = "() => document.querySelector('.paper').shadowRoot.querySelectorAll('img, script, a').length"
    assert page.evaluate(inside) == 0
    page.get_by_role("button", name="Close").click()

    bench.tab("Looks").get_by_role("button", name="Two looks side by side").click()
    dialog = page.get_by_role("dialog", name="Two looks side by side")
    dialog.get_by_label("Right").select_option(index=2)
    dialog.get_by_text("1 of 1 drive").wait_for()
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name="Share").click()
    page.get_by_role("dialog", name="Share").get_by_text("Looks and shows in it").click()
    stands_as_words(page)
    assert problems == []
    context.close()
