"""From plain TOML data to data classes, telling every problem instead of stopping at the first.

Walks the type of each key declared with `posekit.fields.key`. Written here, not left to a library,
because the messages are the product, and because it costs the page nothing to load. A key that is wrong
takes its default, so that what it stands in can still be judged: whoever builds asks for the problems.
"""

from __future__ import annotations

import math
import types
from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from difflib import get_close_matches
from typing import Any, Literal, Union, get_args, get_origin

from posekit.budgets import FINDINGS_TOLD, NAME_LETTERS, VALUE_LETTERS
from posekit.fields import is_key, types_of
from posekit.text import exact, listed
from posekit.toml.places import Path

ABSENT: Any = object()


@dataclass
class Problems:
    """The problems met so far: (key path, code, sentence). `names` are those in each table of the file."""

    names: Mapping[str, Collection[str]] = field(default_factory=dict)
    found: list[tuple[Path, str, str]] = field(default_factory=list)

    @property
    def is_full(self) -> bool:
        """Whether no more of them will be told, so that the search for what would be right can be spared."""
        return len(self.found) >= FINDINGS_TOLD

    def tell(self, path: Path, code: str, sentence: str) -> Any:
        """Note a problem; gives ABSENT, so that a reader can `return problems.tell(...)`."""
        self.found.append((path, code, sentence))
        return ABSENT


def as_found(value: Any) -> str:
    """A value as found, short enough for a message."""
    as_toml = {bool: lambda found: str(found).lower(), str: repr}
    text = as_toml.get(type(value), str)(value)
    return text if len(text) <= VALUE_LETTERS else text[: VALUE_LETTERS - 3] + "..."


def build(cls: type, table: Any, path: Path, problems: Problems, /, *read: str, **given: Any) -> Any:
    """An instance of data class `cls` from a table; ABSENT if a key that has no default is missing or wrong.

    `given` are fields that do not come from keys of this table; `read` are keys that the caller reads itself.
    """
    if not isinstance(table, Mapping):
        return problems.tell(path, "wrong-type", f"= {as_found(table)}: a table is needed")
    hints = types_of(cls)
    declared = {f.name: f for f in fields(cls) if f.name not in given and _is_read(f, hints)}
    tell_unknown(table, (*declared, *read), path, problems)
    built = dict(given)
    for name, declaration in declared.items():
        needed = declaration.default is MISSING and declaration.default_factory is MISSING
        if name in table:
            value = convert(hints[name], table[name], (*path, name), problems, declaration.metadata)
            if needed or value is not ABSENT:
                built[name] = value
        elif needed:
            built[name] = _tell_missing((*path, name), declaration.metadata, problems)
    if any(value is ABSENT for value in built.values()):
        return ABSENT
    return cls(**built)


def tell_unknown(table: Mapping[str, Any], known: Collection[str], path: Path, problems: Problems) -> None:
    """Tell every key of the table that is not known, with the nearest known one or all of them."""
    for name in table:
        if name not in known:
            right = "" if problems.is_full else nearest_name(str(name), known, "known here")
            problems.tell((*path, name), "unknown-key", f"is not a key of this table; {right}")


def _tell_missing(path: Path, about: Mapping[str, Any], problems: Problems) -> Any:
    """Tell that a key is missing, and what it means. Gives ABSENT."""
    return problems.tell(path, "missing-key", f"is missing: {about['doc']}{_unit(about)}")


def nearest_name(name: str, known: Collection[str], all_known: str) -> str:
    """What is right instead of `name`: the nearest of the known ones, or all of them."""
    # To compare letters takes time that grows with the square of their number.
    near = get_close_matches(name, known, n=1) if len(name) <= NAME_LETTERS else []
    return f"did you mean '{near[0]}'?" if near else f"{all_known}: {listed(known)}"


def convert(hint: Any, value: Any, path: Path, problems: Problems, about: Mapping[str, Any]) -> Any:
    """One TOML value as the annotated type, as `about`, the description of its key, allows."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        hint = next(option for option in get_args(hint) if option is not type(None))
        return convert(hint, value, path, problems, about)
    if origin is Literal:
        return _one_of(get_args(hint), value, path, problems)
    if origin is tuple:
        return _tuple(get_args(hint), value, path, problems, about)
    if isinstance(hint, type) and is_dataclass(hint):
        return build(hint, value, path, problems)
    return _SCALARS[hint](value, path, problems, about)


def _tuple(
    kinds: tuple[Any, ...], value: Any, path: Path, problems: Problems, about: Mapping[str, Any]
) -> Any:
    repeated = len(kinds) == 2 and kinds[1] is Ellipsis
    if not isinstance(value, list) or not (repeated or len(value) == len(kinds)):
        size = "a list in brackets" if repeated else f"a list of {len(kinds)} in brackets"
        return problems.tell(path, "wrong-type", f"= {as_found(value)}: {size} is needed")
    each = [kinds[0]] * len(value) if repeated else kinds
    built = tuple(
        convert(kind, item, (*path, i), problems, about)
        for i, (kind, item) in enumerate(zip(each, value, strict=True))
    )
    return ABSENT if any(item is ABSENT for item in built) else built


def _one_of(options: tuple[Any, ...], value: Any, path: Path, problems: Problems) -> Any:
    # 8.0 equals 8 in Python, but a count of bits is a whole number.
    if any(value == option and type(value) is type(option) for option in options):
        return value
    return problems.tell(
        path, "wrong-value", f"= {as_found(value)}: use {' or '.join(as_found(o) for o in options)}"
    )


def _number(value: Any, path: Path, problems: Problems, about: Mapping[str, Any]) -> Any:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return problems.tell(path, "wrong-type", f"= {as_found(value)}: a number is needed{_unit(about)}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        return problems.tell(
            path, "wrong-value", f"= {as_found(value)}: a finite number is needed{_unit(about)}"
        )
    return _within(number, path, problems, about)


def _whole(value: Any, path: Path, problems: Problems, about: Mapping[str, Any]) -> Any:
    if isinstance(value, bool) or not isinstance(value, int):
        return problems.tell(path, "wrong-type", f"= {as_found(value)}: a whole number is needed")
    return _within(value, path, problems, about)


def _within(number: float, path: Path, problems: Problems, about: Mapping[str, Any]) -> Any:
    above, least, most = about.get("above"), about.get("least"), about.get("most")
    if above is not None and not number > above:
        return problems.tell(
            path, "out-of-range", f"= {_plain(number)}: use more than {exact(above)}{_unit(about)}"
        )
    if least is not None and number < least:
        return problems.tell(
            path, "out-of-range", f"= {_plain(number)}: use {exact(least)} or more{_unit(about)}"
        )
    if most is not None and number > most:
        return problems.tell(
            path, "out-of-range", f"= {_plain(number)}: use {exact(most)} or less{_unit(about)}"
        )
    return number


def _plain(number: float) -> str:
    # A whole number may be too long for a float, and is no number to reckon with.
    return exact(number) if isinstance(number, float) else as_found(number)


def _text(value: Any, path: Path, problems: Problems, about: Mapping[str, Any]) -> Any:
    if not isinstance(value, str) or not value:
        return problems.tell(path, "wrong-type", f"= {as_found(value)}: a text in quotes is needed")
    kind = about.get("names")
    if kind and value not in problems.names.get(kind, ()):
        right = "" if problems.is_full else nearest_name(value, problems.names.get(kind, ()), "there are")
        # The name is kept: what else is wrong with what it stands in can be told all the same.
        problems.tell(
            path, "unknown-name", f"= {as_found(value)}: there is no {kind[:-1]} of that name; {right}"
        )
    return value


def _flag(value: Any, path: Path, problems: Problems, about: Mapping[str, Any]) -> Any:
    if isinstance(value, bool):
        return value
    return problems.tell(path, "wrong-type", f"= {as_found(value)}: use true or false")


_SCALARS: dict[type, Callable[[Any, Path, Problems, Mapping[str, Any]], Any]] = {
    float: _number,
    int: _whole,
    str: _text,
    bool: _flag,
}


def _unit(about: Mapping[str, Any]) -> str:
    return f" ({about['unit']})" if about.get("unit") else ""


def _is_read(declaration: Field[Any], hints: Mapping[str, Any]) -> bool:
    return is_key(declaration) or any(
        is_dataclass(kind) for kind in (hints[declaration.name], *get_args(hints[declaration.name]))
    )
