"""Tables as they stand in a terminal."""

from __future__ import annotations

import pytest

from posekit.cli.printing import table


def test_a_title_longer_than_its_table_stays_on_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    title = (
        "a title that is longer than all columns of its table together, and than a terminal is wide: "
        + "x" * 80
    )
    table(title, ("part",), [["arm"]])
    assert capsys.readouterr().out.splitlines()[:3] == [title, "part", "arm "]


def test_a_table_without_rows_says_so_and_shows_no_columns(capsys: pytest.CaptureFixture[str]) -> None:
    table("Drives", ("drive", "joint"), [])
    assert capsys.readouterr().out == "Drives: none\n\n"
