"""Key paths: how a builder and a message write where in a TOML file something stands."""

from __future__ import annotations

import json
import re
import tomllib

from posekit.text import UNSAFE

Path = tuple[str | int, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
# In a message or a typed path a name may also stand bare that TOML would have in quotes, as far as it is clear.
_STEP = re.compile(
    r"""(?P<quoted>"(?:[^"\\]|\\.)*+"|'[^']*+')|\[(?P<index>[0-9]{1,9})\]|(?P<bare>[^.\[\]]++)"""
)


def dotted(path: Path) -> str:
    """A key path as the builder writes it: `links.body.shapes[0].box`, `drives."arm.left".address`."""
    steps = (f"[{part}]" if isinstance(part, int) else f".{key_of(part)}" for part in path)
    return "".join(steps).removeprefix(".")


def parse(text: str) -> Path:
    """The other way round: `links.body.shapes[0].box` as a tuple; an empty one for what is no key path."""
    path: list[str | int] = []
    at = 0
    # Ends: a step is one letter or more.
    while at < len(text):
        # A name comes first or after a dot, an index right behind what it counts in.
        dot = text[at] == "."
        step = _STEP.match(text, at + dot)
        if step is None or (step["index"] is None) != (dot or not path) or (dot and not path):
            return ()
        path.append(int(step["index"]) if step["index"] else step["bare"] or unquoted(step["quoted"]))
        at = step.end()
    return tuple(path)


def unquoted(key: str) -> str:
    """The name that a key of TOML, with quotes or without, stands for."""
    if not key.startswith(("'", '"')):
        return key
    try:
        return next(iter(tomllib.loads(f"{key} = 0")))
    except tomllib.TOMLDecodeError:  # an escape that TOML does not have
        return key[1:-1]


def key_of(name: str) -> str:
    """A name as a key of TOML."""
    return name if is_bare(name) else quoted(name)


def is_bare(name: str) -> bool:
    """True for a name that TOML takes as a key without quotes."""
    return _BARE.fullmatch(name) is not None


def quoted(text: str) -> str:
    """A text in quotes. JSON escapes what TOML must, the same way; so is what is not safe to print."""
    return UNSAFE.sub(_escaped, json.dumps(text, ensure_ascii=False))


def _escaped(sign: re.Match[str]) -> str:
    code = ord(sign[0])
    if 0xD800 <= code < 0xE000:  # half a letter, which no escape can say
        return sign[0]
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
