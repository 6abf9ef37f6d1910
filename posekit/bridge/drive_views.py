"""What the page sees where a drive is added: joints, servo types, figures to begin with, the next free address."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class JointOffer:
    """A joint that a drive could move; `moved_by` says what moves it already, empty where nothing does."""

    name: str
    moved_by: str


@dataclass(frozen=True, slots=True)
class ServoFigure:
    """A figure of a data sheet: `key` of the servo's table, what it is called, its unit, and what it means."""

    key: str
    label: str
    unit: str
    doc: str
    example: str


@dataclass(frozen=True, slots=True)
class ServoClassView:
    """A class of servo to begin with: its typical figures as texts, by key."""

    name: str
    about: str
    figures: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class DriveOffer:
    """What a new drive can be made of.

    `address` is the first free one of `universe` for each number of bits, null where there is none left.
    """

    joints: tuple[JointOffer, ...]
    servos: tuple[str, ...]
    universe: int
    address: Mapping[str, int | None]
    figures: tuple[ServoFigure, ...]
    classes: tuple[ServoClassView, ...]
