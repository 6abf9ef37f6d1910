"""The plinth: water, moss, stones, reeds and a fish."""

from __future__ import annotations

import numpy as np

from sculpt.feather import feather
from sculpt.loft import Loft, ball, turned
from sculpt.skin import Skin, join, shift, turn


def plinth() -> Skin:
    edge = ((318, 0), (322, 2), (322, 20), (316, 24), (308, 27), (308, 36), (304, 39), (296, 39.5), (290, 36))
    return shift(turned(edge, 96, 1.18), (70, 0, 0))


def water() -> Skin:
    """Ripples run out from where the beak meets the water."""
    radius = np.concatenate([np.linspace(2, 285, 40), [291.0]])
    swell = 38.2 + 0.9 * np.cos(radius / 9.0) * np.exp(-radius / 150)
    swell[-1] = 36.5
    profile = ((291.0, 34.0), *((float(r), float(z)) for r, z in zip(radius[::-1], swell[::-1], strict=True)))
    return shift(turned(profile, 56, 1.18), (70, 0, 0))


def _mound(at: tuple[float, float], radius: float, height: float, seed: float) -> Skin:
    rough = Loft(
        (
            (0, 0, 0, 2 * radius, 2 * radius),
            (0, 0, 0.55 * height, 1.7 * radius, 1.6 * radius),
            (0, 0, 0.9 * height, 0.9 * radius, 0.9 * radius),
            (0, 0, height, 0.2 * radius, 0.2 * radius),
        ),
        relief=lambda u, a: 1 + 0.10 * np.sin(3 * a + seed) + 0.06 * np.sin(7 * a + 2 * seed + 6 * u),
    )
    return shift(rough.skin(12, 26), (*at, 34.0))


def moss() -> Skin:
    return join(
        _mound((-180, 110), 95, 34, 0.4),
        _mound((-225, 10), 78, 26, 1.9),
        _mound((-110, 170), 66, 20, 3.1),
        _mound((-170, -95), 70, 22, 4.4),
        _mound((330, 110), 55, 16, 5.2),
    )


def stones() -> list[Skin]:
    """The three stones that the beak can reach, one by one."""
    places = ((96, -150, 44, 30, 20), (140, -178, 30, 24, 15), (60, -186, 26, 20, 13))
    return [_stone(k, *place) for k, place in enumerate(places)]


def pebbles() -> Skin:
    """Those it cannot."""
    places = ((300, 150, 34, 26, 17), (-60, -150, 22, 16, 10), (356, 60, 20, 17, 10), (14, 186, 28, 20, 14))
    return join(*[_stone(3 + k, *place) for k, place in enumerate(places)])


def _stone(number: int, x: float, y: float, a: float, b: float, c: float) -> Skin:
    stone = ball((0, 0, 0), (a, b, c), 12)
    wave = 1 + 0.07 * np.sin(stone.vertices / 9.0 + number) @ np.array([1.0, 0.8, 0.6])
    return shift(
        turn(Skin(stone.vertices * wave[:, None], stone.faces), (0, 0, 1), 37.0 * number), (x, y, 40)
    )


def _blade(at: tuple[float, float], height: float, lean: tuple[float, float], width: float) -> Skin:
    """A reed leaf that bows over at the top."""
    root = np.array([*at, 36.0])
    heading = np.array([*lean, 1.0])
    outward = np.array([lean[0], lean[1], -0.15])
    outward = -outward / np.linalg.norm(outward) if np.linalg.norm(lean) > 0 else np.array([1.0, 0.0, 0.0])
    return feather(root, heading, outward, height, width, droop=0.22, cup=0.2, thick=1.2, point=1.0, steps=9)


def reeds() -> Skin:
    blades = []
    for k in range(30):
        clump = ((-205, 120), (-245, 30), (-165, 165))[k % 3]
        angle = 2.399963 * k  # golden angle: even, never in line
        reach = 9 * np.sqrt(k)
        at = (clump[0] + reach * np.cos(angle), clump[1] + 0.7 * reach * np.sin(angle))
        lean = (0.16 * np.cos(angle) - 0.05, 0.14 * np.sin(angle) + 0.04)
        blades.append(_blade(at, 300 + 190 * (0.5 + 0.5 * np.sin(1.9 * k)), lean, 12 + 4 * np.sin(3.1 * k)))
    return join(*blades)


def cattails() -> Skin:
    heads = []
    for x, y, height, lean in (
        (-205, 128, 560, 0.03),
        (-172, 160, 500, -0.04),
        (-240, 60, 470, 0.05),
        (-150, 180, 420, 0.04),
    ):
        top = (x - lean * height, y + 0.5 * lean * height, height)
        stem = Loft(
            ((x, y, 34, 6, 6), ((x + top[0]) / 2 + 4, (y + top[1]) / 2, height / 2, 5, 5), (*top, 4, 4))
        )
        head = Loft(
            (
                (top[0], top[1], height - 4, 5, 5),
                (top[0], top[1], height + 4, 17, 17),
                (top[0] - lean * 40, top[1], height + 44, 19, 19),
                (top[0] - lean * 84, top[1], height + 86, 16, 16),
                (top[0] - lean * 92, top[1], height + 92, 4, 4),
                (top[0] - lean * 130, top[1], height + 128, 2, 2),
            )
        )
        heads += [stem.skin(8, 8), head.skin(20, 14)]
    return join(*heads)


def fish() -> Skin:
    body = Loft(
        (
            (-40, 0, 0, 3, 4),
            (-28, 2, 0, 5, 7),
            (-4, 0, 0, 12, 17),
            (18, -1, 0, 13, 17),
            (34, 0, 0, 8, 10),
            (40, 0, 0, 2, 3),
        )
    )
    tail = Loft(((-36, 0, 0, 3, 5), (-48, -2, 0, 2.5, 17), (-58, -5, 0, 1.5, 26), (-60, -6, 0, 1, 20)))
    return shift(turn(join(body.skin(18, 14), tail.skin(8, 10)), (0, 0, 1), 205), (372, -40, 37.5))
