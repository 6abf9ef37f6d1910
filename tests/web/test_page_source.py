"""What holds for the page's source as it stands in the repository."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.native

SOURCE = Path(__file__).parents[2] / "web" / "src"
FILES = sorted(path for path in SOURCE.rglob("*.ts*"))
MOST_LINES = 300
MADE = {"engine/protocol.ts"}  # from the annotations of the bridge
# Where elements are made by hand: over the picture, in the plot and for the printer, which are no trees that change.
# A canvas that is drawn on and never shown is no element of the page.
BY_HAND = {
    "ui/browser.ts",
    "ui/copy.ts",
    "panels/looks/beside-view.ts",
    "view/labels.ts",
    "view/stage.ts",
    "panels/motion/chart.ts",
    "panels/sheets/paper.ts",
}
# Where a clock of the browser says how far a motion is that Python made.
CLOCKS = {"panels/motion/player.ts", "panels/bench/swinger.ts", "panels/drives/linkages.ts"}
# Said so by nobody at a bench, or a word of the file where people say another.
UNSAID = (
    "Nothing to tell",
    "is told",
    "stay off",
    "takes other ways",
    "gears and nerves",
    "Judge every",
    "Link names",
    "low pulse",
    "high pulse",
)


def name(path: Path) -> str:
    return path.relative_to(SOURCE).as_posix()


def code(path: Path) -> str:
    """A file without its comments."""
    return re.sub(r"/\*.*?\*/|//[^\n]*", "", path.read_text(), flags=re.S)


def imports(path: Path) -> Iterator[Path]:
    """The files of the page that a file imports, those it loads later left out."""
    for found in re.findall(r'^(?:import|export)\b[^;]*?from "(\.[^"]+)";', path.read_text(), re.M):
        base = (path.parent / found).resolve()
        yield next(
            each
            for each in (base.with_name(base.name + end) for end in (".ts", ".tsx", ""))
            if each.is_file()
        )


def test_no_file_of_the_page_imports_itself_over_others() -> None:
    graph = {path: [each for each in imports(path) if each.suffix in (".ts", ".tsx")] for path in FILES}
    done: set[Path] = set()

    def walk(path: Path, way: tuple[Path, ...]) -> None:
        assert path not in way, " > ".join(name(each) for each in (*way[way.index(path) :], path))
        if path not in done:
            for each in graph[path]:
                walk(each, (*way, path))
            done.add(path)

    for path in FILES:
        walk(path, ())


def test_elements_are_made_in_one_way() -> None:
    by_hand = {
        name(path)
        for path in FILES
        if re.search(r'createElement\((?!"canvas")|innerHTML|HTMLUnsafe', path.read_text())
    }
    assert by_hand <= BY_HAND


def test_every_slider_is_the_one_that_a_finger_can_scroll_over() -> None:
    assert {name(path) for path in FILES if re.search(r"""["']range["']""", code(path))} == {"ui/slider.tsx"}


def test_every_panel_says_in_one_place_what_it_is_for() -> None:
    panels = re.findall(r'id: "(\w+)"', (SOURCE / "panels" / "panels.ts").read_text())
    told = re.findall(r"^  (\w+):", (SOURCE / "panels" / "help.ts").read_text(), re.M)
    assert told == panels
    assert {name(path) for path in FILES if "<WhatFor" in path.read_text()} == {"frame/tabs.tsx"}


def test_every_module_of_the_page_reads_like_a_page() -> None:
    long = {name(path) for path in FILES if len(path.read_text().splitlines()) > MOST_LINES}
    assert long <= MADE


@pytest.mark.parametrize("words", UNSAID)
def test_no_sentence_of_the_page_says_it_so(words: str) -> None:
    said = [name(path) for path in FILES if words in code(path)]
    assert said == []


def test_words_for_a_mouse_stand_where_there_is_one() -> None:
    """A phone cannot drop a file or press Ctrl; what is told on all devices fits all."""
    for_mouse = re.compile(r'<(\w+) class="[^"]*for-mouse">.*?</\1>', re.S)
    words = re.compile(
        r"\b(?:[Dd]rop(?:ped|ping)? (?:a|an|the|it|them)\b|be dropped|[Cc]lick (?!or tap)|Ctrl)"
    )
    said = {name(path): words.findall(for_mouse.sub("", code(path))) for path in FILES}
    assert {path: found for path, found in said.items() if found} == {}


def test_a_panel_is_one_line_of_the_list() -> None:
    text = (SOURCE / "panels" / "panels.ts").read_text()
    lines = re.findall(r'^  \{ id: "\w+", title: "\w+", Content: \w+ \},$', text, re.M)
    assert len(lines) == text.count("Content: ") - 1 >= 6  # that one more is their type
    others = [name(path) for path in FILES if path.name != "panels.ts" and "PANELS" in path.read_text()]
    assert others == ["frame/tabs.tsx"]


def test_a_panel_brings_its_own_style_and_no_other_has_it() -> None:
    styles = sorted((SOURCE / "panels").rglob("*.css"))
    assert len(styles) >= 5 and "panels/" not in (SOURCE / "style.css").read_text()
    classes = {path: set(re.findall(r"^\.([a-z-]+)", path.read_text(), re.M)) for path in styles}
    for path, own in classes.items():
        beside = [each.read_text() for each in path.parent.glob("*.tsx")]
        assert path.stem == path.parent.name
        assert sum(f'import "./{path.name}";' in each for each in beside) == 1
        assert not own & set().union(*(others for each, others in classes.items() if each != path))


def test_nothing_of_the_page_turns_percent_or_16_bit_or_axes_into_others() -> None:
    reckons = re.compile(r"65_?535|[*/] 1000\b|Math\.(?:log|pow)|\*\*")
    found = {
        name(path): reckons.findall(code(path))
        for path in (SOURCE / "panels").rglob("*.ts*")
        if reckons.search(code(path))
    }
    assert set(found) == CLOCKS  # which tick in ms
