"""Lengths, points and positions as they are typed: what can be had, where a servo sits, where a joint stands."""

from __future__ import annotations

import math
from functools import partial

import click

from posekit.authoring.synthesis import Sizes
from posekit.authoring.typed_sizes import LONGEST_MM, typed_sizes, typed_vector
from posekit.errors import PosekitError
from posekit.fields import Vector
from posekit.text import exact, number, printable


def _sizes(
    _: click.Context, __: click.Parameter, typed: str | None, least: float, unit: str = " mm"
) -> Sizes | None:
    """Lengths that can be had: `8,10,12.5` are these, `8:20` is any between."""
    if typed is None:
        return None
    try:
        return typed_sizes(typed, least, unit=unit, several=True)
    except PosekitError as refused:
        raise click.BadParameter(refused.findings[0].message) from refused


sizes = partial(_sizes, least=1.0)
counts_of_teeth = partial(_sizes, least=1.0, unit=" teeth")
heights = partial(_sizes, least=-LONGEST_MM)


def whole(numbers: Sizes) -> tuple[int, ...]:
    """The whole numbers among those typed. Raises click.BadParameter for one that is listed and is none."""
    if broken := [each for each in numbers.listed or () if not each.is_integer()]:
        said = f"{exact(broken[0])} is no number of teeth; write whole ones, as 12,18,36"
        raise click.BadParameter(said, param_hint="--teeth")
    if numbers.listed:
        return tuple(round(each) for each in numbers.listed)
    return tuple(range(math.ceil(numbers.low), math.floor(numbers.high) + 1))


def point(_: click.Context, __: click.Parameter, typed: str | None) -> Vector | None:
    """Three numbers as `0,35.5,30`."""
    return None if typed is None else _point(typed)


def points(_: click.Context, __: click.Parameter, typed: tuple[str, ...]) -> tuple[Vector, ...]:
    """Points, each as three numbers."""
    return tuple(_point(each) for each in typed)


def positions_of(
    _: click.Context, __: click.Parameter, typed: tuple[str, ...]
) -> tuple[tuple[int, float], ...]:
    """Where a joint stands at values: `128:12.5`."""
    found = []
    for each in typed:
        value, position = [*each.split(":", 1), ""][:2]
        at, there = number(value), number(position)
        if at is None or there is None or not at.is_integer():
            said = f"'{printable(each)}': write value and position as 128:12.5"
            raise click.BadParameter(said)
        found.append((int(at), there))
    return tuple(found)


def _point(typed: str) -> Vector:
    if (found := typed_vector(typed)) is None:
        raise click.BadParameter(
            f"'{printable(typed)}': write three numbers as 0,35.5,30, each of a kilometre at most (mm)"
        )
    return found
