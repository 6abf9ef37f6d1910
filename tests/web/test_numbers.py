"""Numbers of the page rounded as the reports round them, run by Node."""

from __future__ import annotations

import pytest

from posekit.text import downward, upward
from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
BOTH = """
const { upward, downward } = loaded("ui/numbers", {});
tell(given.map(([number, digits]) => [upward(number, digits), downward(number, digits)]));
"""


@needs_node
def test_bounds_are_rounded_as_in_the_reports() -> None:
    numbers = [
        (12.01, 0),
        (12.5, 0),
        (12.0, 0),
        (12.000000001, 0),
        (0.0, 2),
        (0.1 + 0.2, 2),
        (1.005, 2),
        (2.3999, 2),
        (99.99, 1),
    ]
    assert told_by(BOTH, numbers) == [[upward(*each), downward(*each)] for each in numbers]
