"""`posekit envelope` from the outside: JSON, exit status, files."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from posekit.cli import main
from posekit.errors import PosekitError, error


@pytest.fixture
def wand(tmp_path, wand_text):
    """The wand with its post at the side, which it strikes at the high end point."""
    folder = tmp_path / "wand"
    folder.mkdir()
    aside = wand_text.replace("at = [60, 0, 0]", "at = [0, 60, 0]")
    (folder / "prop.toml").write_text(aside + "pulse = {low = 1000, high = 2500}\n")
    return folder


def run(*words):
    return CliRunner().invoke(main, ["envelope", *map(str, words), "--jobs", "1"])


def test_the_json_has_the_promised_keys_and_a_strike_gives_exit_status_1(wand):
    done = run(wand, "--json")
    assert done.exit_code == 1, done.output
    told = json.loads(done.output)
    assert list(told) == [
        "prop", "margin_mm", "resolution_deg", "pairs", "left_out", "suggestions", "findings",
    ]  # fmt: skip
    (pair,) = told["pairs"]
    assert list(pair) == ["pair", "joints", "verdict", "clear_by_mm", "witness", "open_fraction", "cells"]
    assert pair["pair"] == ["base", "wand"]
    assert pair["joints"] == ["wand"]
    assert pair["verdict"] == "strikes"
    assert pair["clear_by_mm"] is None
    assert list(pair["witness"]) == ["wand"]
    (suggestion,) = told["suggestions"]
    assert list(suggestion) == ["drive", "end", "pulse_us", "clears"]
    assert (suggestion["drive"], suggestion["end"]) == ("wand", "high")
    assert suggestion["clears"] == [["base", "wand"]]
    assert [(each["level"], each["code"]) for each in told["findings"]] == [("error", "strikes")]


def test_a_clear_prop_gives_exit_status_0_and_its_clearance(wand):
    text = (wand / "prop.toml").read_text()
    (wand / "prop.toml").write_text(text.replace("high = 2500", "high = 2000"))
    done = run(wand, "--json", "--margin", "3")
    assert done.exit_code == 0, done.output
    told = json.loads(done.output)
    (pair,) = told["pairs"]
    assert (pair["verdict"], pair["witness"], pair["open_fraction"]) == ("clear", None, 0.0)
    assert 0 < pair["clear_by_mm"] <= 60 * 2**-0.5 - 7
    assert told["margin_mm"] == 3.0
    assert told["suggestions"] == []


def test_a_pair_nearer_than_the_margin_is_near_with_its_values_and_gives_exit_status_1(wand, tmp_path):
    """At 45 deg the wand is 60 sin(45 deg) - 7 = 35.43 mm from the post; 40 mm are asked for."""
    text = (wand / "prop.toml").read_text()
    (wand / "prop.toml").write_text(text.replace("high = 2500", "high = 2000"))
    done = run(
        wand, "--json", "--margin", "40", "--map", tmp_path / "map.svg", "--fix", tmp_path / "fix.toml"
    )
    assert done.exit_code == 1, done.output
    told = json.loads(done.stdout)
    (pair,) = told["pairs"]
    apart = 60 * 2**-0.5 - 7
    assert (pair["verdict"], pair["witness"], pair["open_fraction"]) == ("near", {"wand": 255}, 0.0)
    assert 25.0 <= pair["clear_by_mm"] <= apart
    (finding,) = told["findings"]
    assert (finding["level"], finding["code"], finding["subject"]) == ("error", "near", "base - wand")
    assert "come closer than the margin of 40 mm: 35.42 mm apart at wand 255" in finding["message"]
    (suggestion,) = told["suggestions"]
    assert suggestion["clears"] == [["base", "wand"]]
    hovers = [
        each.text
        for each in ElementTree.parse(tmp_path / "map.svg").iter("{http://www.w3.org/2000/svg}title")
    ]
    assert any(text.endswith(": near") for text in hovers) and any(
        text.endswith(": clear") for text in hovers
    )
    assert not any(text.endswith(": strikes") for text in hovers)
    high = tomllib.loads((tmp_path / "fix.toml").read_text())["drives"]["wand"]["pulse"]["high"]
    (wand / "prop.toml").write_text(text.replace("2500", str(high)))
    assert run(wand, "--margin", "40").exit_code == 0
    told = " ".join(run(wand, "--margin", "60").output.split())
    assert "! near" in told and "1 pair: 0 clear, 1 near, 0 strike, 0 open; 0 left out." in told


def test_no_clean_bill_is_given_while_something_is_left_out(wand, tmp_path):
    text = (wand / "prop.toml").read_text().replace("high = 2500", "high = 2000")
    (wand / "prop.toml").write_text(text + '[clearance]\nignore = [["base", "wand"]]\n')
    done = run(wand, "--json")
    assert done.exit_code == 0
    told = json.loads(done.output)
    assert told["pairs"] == []
    (left,) = told["left_out"]
    assert left["pair"] == ["base", "wand"] and "ignored" in left["why"]
    told = " ".join(run(wand, "--fix", tmp_path / "limits.toml").output.split())
    assert "0 pairs: 0 clear, 0 near, 0 strike, 0 open; 1 left out." in told
    assert "base - wand" in told and "ignored" in told
    assert "every pair is clear" not in told


def test_the_fix_is_a_fragment_that_makes_the_prop_clear(wand, tmp_path):
    limits = tmp_path / "limits.toml"
    before = (wand / "prop.toml").read_text()
    assert run(wand, "--fix", limits).exit_code == 1
    assert (wand / "prop.toml").read_text() == before
    changed = tomllib.loads(limits.read_text())
    assert list(changed) == ["drives"]
    assert list(changed["drives"]["wand"]) == ["pulse"]
    assert list(changed["drives"]["wand"]["pulse"]) == ["high"]
    (wand / "prop.toml").write_text(before.replace("2500", str(changed["drives"]["wand"]["pulse"]["high"])))
    assert run(wand).exit_code == 0


def test_with_json_what_became_of_the_fix_is_told_on_the_error_stream(wand, tmp_path):
    done = run(wand, "--json", "--fix", tmp_path / "limits.toml")
    assert json.loads(done.stdout)["suggestions"]
    assert "with it every pair is clear" in done.stderr


@pytest.mark.parametrize("option", ["--fix", "--map"])
def test_no_file_is_ever_written_over(wand, option):
    mine = (wand / "prop.toml").read_text()
    done = run(wand, option, wand / "prop.toml")
    assert done.exit_code == 2
    assert "never overwritten" in done.output
    assert (wand / "prop.toml").read_text() == mine


@pytest.mark.parametrize("option", ["--fix", "--map"])
def test_no_link_is_ever_written_over_either(wand, option):
    link = wand / "elsewhere.svg"
    link.symlink_to(wand / "nothing")
    assert "never overwritten" in run(wand, option, link).output
    assert link.is_symlink()


def test_a_fix_says_at_its_head_what_was_proved(wand, tmp_path):
    run(wand, "--fix", tmp_path / "limits.toml")
    assert "# With it every pair is clear by" in (tmp_path / "limits.toml").read_text()


def test_where_no_end_point_helps_the_fix_is_an_error_and_not_a_clean_bill(wand, tmp_path):
    text = (wand / "prop.toml").read_text()
    (wand / "prop.toml").write_text(text.replace("= 5", "= 11").replace("[0, 60, 0]", "[0, 0, 0]"))
    done = run(wand, "--fix", tmp_path / "limits.toml")
    assert done.exit_code == 1
    assert "is not written" in done.output
    assert "no single end point was found" in done.output
    assert not (tmp_path / "limits.toml").exists()


def test_that_no_end_point_was_found_is_not_said_where_the_time_was_too_short_to_look(wand, tmp_path):
    done = run(wand, "--fix", tmp_path / "limits.toml", "--budget", "0")
    assert "the work ended before end points were looked for" in done.output
    assert "no single end point was found" not in done.output
    assert not (tmp_path / "limits.toml").exists()


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--map", "map.png"), "must end in .svg"),
        (("--fix", "one.svg", "--map", "one.svg"), "named twice"),
        (("--fix", "wand/prop.toml/limits.toml"), "does not exist; make it first"),
    ],
)
def test_a_place_that_will_not_do_is_refused_before_the_work(wand, tmp_path, monkeypatch, options, told):
    monkeypatch.chdir(wand.parent)
    done = run(wand, *(option.replace("wand/", f"{wand.name}/") for option in options))
    assert done.exit_code == 2
    assert told in done.output
    assert "checking" not in done.output and done.stdout == ""


def test_an_interrupt_has_an_exit_status_of_its_own(wand, monkeypatch):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("posekit.cli.envelope.envelope_report", interrupted)
    done = run(wand)
    assert done.exit_code == 130
    assert "Stopped." in done.output


def test_the_map_marks_the_values_and_names_pulses_where_pointed_at(wand, tmp_path):
    place = tmp_path / "map.svg"
    run(wand, "--map", place, "--no-suggest")
    svg = ElementTree.parse(place).getroot()
    name = "{http://www.w3.org/2000/svg}"
    hovers = [title.text for title in svg.iter(f"{name}title")]
    assert any(text.endswith(": clear") for text in hovers)
    assert any(text.endswith(": strikes") for text in hovers)
    assert all("µs" in text for text in hovers)
    hatches = {pattern.get("id"): len(list(pattern)) for pattern in svg.iter(f"{name}pattern")}
    assert set(hatches) == {"clear", "near", "strikes", "open"}
    assert hatches["clear"] < hatches["near"] < hatches["strikes"]
    drawn = {
        state: [path.get("d") for path in pattern.iter(f"{name}path")]
        for state, pattern in ((each.get("id"), each) for each in svg.iter(f"{name}pattern"))
    }
    assert len({str(lines) for lines in drawn.values()}) == 4, "colour never carries meaning alone"


def test_the_cache_spares_the_work_the_second_time_and_says_so(wand, tmp_path):
    first = json.loads(run(wand, "--json", "--no-suggest", "--cache", tmp_path / "kept").output)
    assert len(list((tmp_path / "kept").iterdir())) == 1
    again = json.loads(run(wand, "--json", "--no-suggest", "--cache", tmp_path / "kept").output)
    kept = again["findings"].pop()
    assert again == first
    assert (kept["level"], kept["code"]) == ("note", "kept") and "base - wand" in kept["message"]
    assert "strikes (kept)" in run(wand, "--no-suggest", "--cache", tmp_path / "kept").output


@pytest.mark.parametrize(
    "damaged", [b"{", b"{}", b"[]", b"3", b"\xff\xfe", b"[" * 100_000, b"9" * 5000, b" " * 2_000_000, b'{"a": NaN}']
)  # fmt: skip
def test_a_damaged_cache_is_told_and_made_whole(wand, tmp_path, damaged):
    first = json.loads(run(wand, "--json", "--no-suggest", "--cache", tmp_path / "kept").output)
    (file,) = (tmp_path / "kept").iterdir()
    whole = file.read_bytes()
    file.write_bytes(damaged)
    done = run(wand, "--json", "--no-suggest", "--cache", tmp_path / "kept")
    told = json.loads(done.output)
    assert told["pairs"] == first["pairs"]
    assert [each["code"] for each in told["findings"]] == ["strikes", "kept-doubtful"]
    assert file.read_bytes() == whole


def test_a_verdict_edited_to_clear_is_not_printed_as_proof(wand, tmp_path):
    run(wand, "--no-suggest", "--cache", tmp_path / "kept")
    (file,) = (tmp_path / "kept").iterdir()
    entry = json.loads(file.read_text())
    entry["verdict"] |= {"verdict": "clear", "clear_by_mm": 99.0, "witness": None}
    file.write_text(json.dumps(entry))
    done = run(wand, "--no-suggest", "--cache", tmp_path / "kept")
    assert done.exit_code == 1
    assert "99.0" not in done.output  # names of verdicts may have a 99
    assert "it was changed after posekit wrote it" in " ".join(done.output.split())


def test_a_cache_that_cannot_be_written_loses_no_verdict(wand, tmp_path, monkeypatch):
    def full(path, content):
        raise PosekitError(
            [error("unwritable", "", "cannot be written (No space left on device)", file=str(path))]
        )

    monkeypatch.setattr("posekit.cli.verdict_folder.write_whole", full)
    done = run(wand, "--json", "--no-suggest", "--cache", tmp_path / "kept")
    assert done.exit_code == 1, done.output
    told = json.loads(done.output)
    assert [pair["verdict"] for pair in told["pairs"]] == ["strikes"]
    assert [each["code"] for each in told["findings"]] == ["strikes", "not-kept"]


def test_the_tables_say_in_words_what_strikes_and_what_would_help(wand):
    told = " ".join(run(wand).output.split())
    assert "strikes" in told
    assert "end points that would clear pairs" in told
    assert "touch or overlap at wand" in told


def test_a_budget_of_no_time_tells_pairs_as_open(wand):
    done = run(wand, "--budget", "0", "--json", "--no-suggest")
    assert json.loads(done.output)["pairs"][0]["verdict"] in ("open", "strikes")


def test_time_that_runs_out_is_no_success_and_is_told():
    heron = Path(__file__).parents[2] / "models" / "heron"
    done = run(heron, "--budget", "0")
    assert done.exit_code == 1
    assert "not checked to the end: 100 % of the range is not proved clear" in done.output


@pytest.mark.parametrize(
    ("option", "number"),
    [("--resolution", "nan"), ("--resolution", "inf"), ("--resolution", "0"), ("--margin", "nan"), ("--margin", "inf"),
     ("--margin", "-1"), ("--budget", "nan"), ("--budget", "-1"), ("--jobs", "0")],
)  # fmt: skip
def test_numbers_out_of_range_are_refused(wand, option, number):
    done = CliRunner().invoke(main, ["envelope", str(wand), option, number, "--json"])
    assert done.exit_code == 2
    assert option.strip("-") in done.output


def test_parts_of_a_prop_without_drives_that_overlap_strike_and_have_no_map(tmp_path, statue_text):
    (tmp_path / "prop.toml").write_text(statue_text)
    done = run(tmp_path, "--json")
    assert done.exit_code == 1
    (pair,) = json.loads(done.output)["pairs"]
    assert (pair["verdict"], pair["witness"]) == ("strikes", {})
    told = run(tmp_path, "--map", tmp_path / "map.svg", "--fix", tmp_path / "limits.toml")
    assert "touch or overlap at every value" in told.output
    assert "no pair that a channel moves strikes or comes closer than the margin" in told.output
    assert not (tmp_path / "map.svg").exists()
    assert not (tmp_path / "limits.toml").exists()
