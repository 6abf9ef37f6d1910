"""What many tests need: small props made from text, and the demo props."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from hypothesis import settings

import posekit

pytest_plugins = ["tests.once_more"]

# A busy machine, or the browser's Python, may take long over one example; that is no fault of the example.
settings.register_profile("posekit", deadline=None)
settings.load_profile("posekit")

# The browser's Python is ten times as slow, and what could differ in it (NumPy's build, 32-bit integers, the sines of
# another C library) differs in any example: there a few of each law will do, all of them run natively.
IN_A_PAGE = sys.platform == "emscripten"
EXAMPLES_IN_A_PAGE = 5
# The longest of all tests, each a process by itself.
LONG_AND_ALONE = (
    "test_the_core_passes_its_own_tests_in_the_python_of_the_page",
    "test_code_is_clean[mypy]",
)

ROOT = Path(__file__).parent.parent
CASES = Path(__file__).parent / "cases"
# Seeds of a search: a dozen whenever the tests run, fifty where they are asked for (`bash tests/run -m long`).
SEEDS = [
    *range(2 if IN_A_PAGE else 12),
    *(pytest.param(seed, marks=pytest.mark.long) for seed in range(12, 50)),
]
DEMO_PROPS = ("heron",) if IN_A_PAGE else ("heron", "bellows", "longwood")
# For laws that take the longer, the larger the prop: on the largest, which costs more than all others, with the seeds.
DEMO_PROPS_AT_LENGTH = [
    pytest.param(name, marks=pytest.mark.long) if name == "longwood" else name for name in DEMO_PROPS
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """In a page, tries few examples of each law, whatever the law itself asks for; what is long comes first."""
    items.sort(key=turn)
    for item in items if IN_A_PAGE else ():
        law = getattr(item, "function", None)
        asked = getattr(law, "_hypothesis_internal_use_settings", None)
        if law is not None and asked is not None and asked.max_examples > EXAMPLES_IN_A_PAGE:
            law._hypothesis_internal_use_settings = settings(asked, max_examples=EXAMPLES_IN_A_PAGE)


def pytest_collection_finish() -> None:
    """Has the garbage collector pass over all that stays to the end anyway: modules, and tests that were collected."""
    gc.collect()
    gc.freeze()


def turn(item: pytest.Item) -> tuple[bool, bool, bool, bool, bool, str]:
    """When a test's turn is, least first: the longer it takes, the sooner.

    A long one that came last would keep one processor waiting for the other. Those that can share a page that stands
    ready come together by its Python and its setting, so that few processes have to start one.
    """
    page = item.get_closest_marker("page") is not None
    given = getattr(item, "callspec", None)
    python = item.get_closest_marker("python")
    return (
        item.name not in LONG_AND_ALONE,
        item.get_closest_marker("other_browsers") is None,
        not page,
        page and item.get_closest_marker("own_page") is None,
        page and python is not None and python.args == ("native",),
        # The most have no setting: they come last.
        repr(given.params["setting"]) if page and given and "setting" in given.params else "~",
    )


@pytest.fixture
def arm_text() -> str:
    """The text of the smallest prop that moves."""
    return (CASES / "valid" / "arm.toml").read_text()


@pytest.fixture
def arm(arm_text: str) -> posekit.Prop:
    """The smallest prop that moves: one 8-bit drive, 1000..2000 us, on a joint with stops at 80 degrees."""
    return prop_of(arm_text)


@pytest.fixture
def wand_text() -> str:
    """The text of the smallest prop that can strike: a wand, 2 mm thick, past a post of 5 mm, 60 mm away along x."""
    return (CASES / "valid" / "wand.toml").read_text()


@pytest.fixture
def level_plate_text() -> str:
    """The text of a prop whose plate a follow joint keeps level while its arm turns, 5 mm under a beam."""
    return (CASES / "valid" / "level_plate.toml").read_text()


@pytest.fixture
def two_arms_text() -> str:
    """The text of a prop of two upright arms, 50 mm apart, that strike where both lean inwards."""
    return (CASES / "valid" / "two_arms.toml").read_text()


@pytest.fixture
def statue_text() -> str:
    """The text of a prop without drives, two parts of which overlap."""
    return (CASES / "valid" / "statue.toml").read_text()


@pytest.fixture
def every_key() -> posekit.Prop:
    """A prop that uses every key and every linkage."""
    return prop_of((CASES / "valid" / "every_key.toml").read_text())


@pytest.fixture
def make_prop() -> Callable[[str], posekit.Prop]:
    """Makes a prop from the text of its file."""
    return prop_of


@pytest.fixture(params=DEMO_PROPS)
def demo(request: pytest.FixtureRequest) -> posekit.Prop:
    """Each demo prop in turn."""
    return demo_prop(request.param)


@pytest.fixture(params=DEMO_PROPS_AT_LENGTH)
def demo_at_length(request: pytest.FixtureRequest) -> posekit.Prop:
    """Each demo prop in turn, for laws that take as long as it is large."""
    return demo_prop(request.param)


@cache  # a prop is frozen, so all tests of a process may have the same
def demo_prop(name: str) -> posekit.Prop:
    return posekit.load(ROOT / "models" / name)


def prop_of(text: str) -> posekit.Prop:
    return posekit.read({"prop.toml": text.encode()})
