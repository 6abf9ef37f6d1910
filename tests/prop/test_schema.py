"""The JSON Schema says what the reader says, as far as a schema can."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest

from posekit.prop.schema import schema

ROOT = Path(__file__).parent.parent.parent
VALID = [*sorted((ROOT / "models").glob("*/prop.toml")), *sorted((ROOT / "tests/cases/valid").glob("*.toml"))]
# What a schema cannot see: names, trees, addresses, lengths that fit, numbers that are not finite in TOML only.
BY_SCHEMA = [
    "unknown_key",
    "wrong_types",
    "out_of_range",
    "shapes",
    "unknown_linkage",
    "format_of_the_future",
]


def test_the_schema_beside_the_models_is_the_one_of_this_version() -> None:
    """Make it anew with `posekit schema > models/prop.schema.json`."""
    assert json.loads((ROOT / "models" / "prop.schema.json").read_text()) == schema()


@pytest.mark.parametrize("file", VALID, ids=lambda file: f"{file.parent.name}/{file.stem}")
def test_a_valid_prop_file_passes_the_schema(file: Path) -> None:
    validator = jsonschema.Draft202012Validator(schema())
    validator.check_schema(schema())
    assert [error.message for error in validator.iter_errors(tomllib.loads(file.read_text()))] == []


@pytest.mark.parametrize("name", BY_SCHEMA)
def test_a_broken_prop_file_fails_the_schema(name: str) -> None:
    data = tomllib.loads((ROOT / "tests/cases/invalid" / f"{name}.toml").read_text())
    assert list(jsonschema.Draft202012Validator(schema()).iter_errors(data))


def test_every_number_of_a_prop_file_has_an_upper_and_a_lower_limit() -> None:
    """A slip of the pen, such as a ratio of 1e308, is told where it stands and not by what overflows after it."""
    found = list(numbers(schema(), ""))
    assert len(found) > 60
    boundless = [
        place
        for place, number in found
        if "maximum" not in number or not {"minimum", "exclusiveMinimum"} & set(number)
    ]
    assert boundless == []


def numbers(part: object, place: str) -> Iterator[tuple[str, dict[str, object]]]:
    """Every place of a schema that takes a number."""
    if isinstance(part, dict):
        if part.get("type") in ("number", "integer"):
            yield place, part
        for key, inner in part.items():
            yield from numbers(inner, f"{place}.{key}")
    elif isinstance(part, list):
        for at, inner in enumerate(part):
            yield from numbers(inner, f"{place}[{at}]")
