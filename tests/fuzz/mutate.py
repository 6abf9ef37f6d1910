"""Input that went wrong on its way: cut, garbled, repeated, spliced with its like, with a value no one meant."""

from __future__ import annotations

import random
import re
import tomllib
from collections.abc import Callable, Sequence
from typing import Any

import tomlkit

# Numbers, words and marks that have broken readers before: ends of types, nothing, much, other scripts, ways out.
ODD = (
    *(
        b"0",
        b"-1",
        b"1e308",
        b"-1e-308",
        b"5e-324",
        b"1e999",
        b"nan",
        b"inf",
        b"9" * 400,
        b"0x7fffffffffffffff",
    ),
    *(b"''", b'""', b"true", b"null", b"[]", b"{}", b"[[[[", b"}}}}", b"\x00", b"\xff\xfe", b"\xef\xbb\xbf"),
    *(b"../../etc/passwd", b"C:\\x", b"/dev/zero", b"con", b"a/./b", b"\\\\host\\share"),
    *("\u202eevil".encode(), b"\x1b[2J", b"\x1b]0;t\x07", b"\r\n", b"\x85", "\u2028".encode(), "é".encode()),
    *(b"@" * 50, b"," * 50, b"[" * 2000, b"(" * 200, b" " * 5000, b"1," * 500, b"a." * 300),
)
_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")


def mutated(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """One of the seeds, changed one to four times."""
    content = rng.choice(seeds)
    for _ in range(rng.choice((1, 1, 2, 4))):
        content = rng.choice(_WAYS)(rng, content, seeds)
    return content[:2_000_000]


def _flip(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    changed = bytearray(content)
    for _ in range(rng.choice((1, 1, 3, 20))):
        if changed:
            changed[rng.randrange(len(changed))] ^= 1 << rng.randrange(8)
    return bytes(changed)


def _cut(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    start = rng.randrange(len(content) + 1)
    end = min(len(content), start + rng.choice((1, 4, 40, 1000, len(content))))
    return content[:start] + content[end:]


def _odd(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    at = rng.randrange(len(content) + 1)
    over = rng.choice((0, 0, 1, 4, 8))
    return content[:at] + rng.choice(ODD) + content[at + over :]


def _number(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    found = list(_NUMBER.finditer(content[:200_000]))
    if not found:
        return _odd(rng, content, seeds)
    place = rng.choice(found)
    return content[: place.start()] + rng.choice(ODD[:12]) + content[place.end() :]


def _again(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    start = rng.randrange(len(content) + 1)
    part = content[start : start + rng.choice((1, 8, 80, 800))]
    return content[:start] + part * rng.choice((2, 10, 300)) + content[start:]


def _splice(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    other = rng.choice(seeds)
    return content[: rng.randrange(len(content) + 1)] + other[rng.randrange(len(other) + 1) :]


def _word(rng: random.Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Four bytes of a binary file as a length or a float that no one meant."""
    if len(content) < 4:
        return _odd(rng, content, seeds)
    at = rng.randrange(len(content) - 3)
    odd = rng.choice(
        (
            b"\xff\xff\xff\xff",
            b"\x00\x00\x00\x00",
            b"\xff\xff\xff\x7f",
            b"\x00\x00\xc0\x7f",
            b"\x01\x00\x00\x00",
        )
    )
    return content[:at] + odd + content[at + 4 :]


_WAYS: tuple[Callable[[random.Random, bytes, Sequence[bytes]], bytes], ...] = (
    _flip,
    _cut,
    _odd,
    _number,
    _again,
    _splice,
    _word,
)

_VALUES: tuple[Any, ...] = (
    *(0, -1, 1, 2**63 - 1, 10**30, 1e308, -1e308, 5e-324, 1e-300, float("nan"), float("inf"), True, False),
    *(
        "",
        "x" * 300,
        "\u202e",
        "\x1b[31m",
        "../x",
        "/dev/zero",
        [],
        {},
        [[]],
        [1e308] * 3,
        [0, 0, 0],
        [5e-324] * 3,
    ),
)


def revalued(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A file of TOML that is still one, with some values put in the place of others, left out or moved."""
    table: Any = tomllib.loads(rng.choice(seeds).decode())
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        ways = _places(table) or [()]
        numbers = [way for way in ways if _is_number(_at(table, way))]
        way = rng.choice(numbers if numbers and rng.random() < 0.5 else ways)
        if not way:
            continue
        holder = table
        for key in way[:-1]:
            holder = holder[key]
        found, chance = holder[way[-1]], rng.random()
        if _is_number(found) and chance < 0.6:
            # A number of the same kind is often taken, and so goes on to be posed with.
            holder[way[-1]] = type(found)(found * rng.uniform(-2.0, 3.0) + rng.choice((0, 0, 1, -1)))
        elif chance < 0.2:
            del holder[way[-1]]
        elif chance < 0.75:
            holder[way[-1]] = _at(table, rng.choice(list(_places(table)) or [way]))
        else:
            holder[way[-1]] = rng.choice(_VALUES)
    try:
        return tomlkit.dumps(table).encode()
    except Exception:  # TOML has no way to write some of it, such as a table that holds itself
        return mutated(rng, seeds)


def _places(data: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if len(way) > 12:
        return []
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [found for key, item in items for found in ((*way, key), *_places(item, (*way, key)))]


def _is_number(found: Any) -> bool:
    return isinstance(found, int | float) and not isinstance(found, bool)


def _at(table: Any, way: tuple[Any, ...]) -> Any:
    for key in way:
        table = table[key]
    return table
