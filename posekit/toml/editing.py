"""Changes to the text of a TOML file: what an edit does not touch stays to the letter, comments and order too.

Each function takes the text of a file that `tables` reads and gives the next. Only the letters of what is meant are
replaced. A library that holds the file as a document gives a comment above a header to the table before it, so that it
goes with that table and a new key comes behind it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from posekit.errors import PosekitError, error
from posekit.toml.layout import Layout, Splice, layout, spliced
from posekit.toml.marks import Mark
from posekit.toml.places import Path, dotted, is_bare, key_of, parse, quoted
from posekit.toml.values import plain, written_value


def set_key(text: str, key_path: str, value: Any) -> str:
    """The text with one key changed; tables on the way are made where missing, None removes the key.

    `key_path` is as in messages: `drives.jaw.pulse.low`, `links.body.shapes[0].colour`,
    `drives."arm.left".address`. Numbers of NumPy and arrays are taken as such. Raises PosekitError for what is
    no key path, for a key that cannot stand there and for a value that TOML cannot hold.
    """
    return set_keys(text, {path_of(key_path): value})


def path_of(key_path: str) -> Path:
    """The path of a key as it is written in messages. PosekitError for what is none."""
    path = parse(key_path) if isinstance(key_path, str) else ()
    if not path:
        right = "write it as drives.jaw.pulse.low or links.body.shapes[0].colour"
        raise PosekitError([error("unknown-key", str(key_path), f"is no key of a prop file; {right}")])
    return path


def set_keys(text: str, changes: Mapping[Path, Any]) -> str:
    """The text with several keys changed, in this order; what lies within another of them then, too.

    Raises PosekitError as `set_key` does.
    """
    data, found = tomllib.loads(text), layout(text)
    splices: list[Splice] = []
    left: dict[Path, Any] = {}
    around = {path: [path[:depth] for depth in range(1, len(path))] for path in changes}
    inner = {path for path in changes if any(each in changes for each in around[path])}
    shared = inner | {each for path in inner for each in around[path] if each in changes}
    for path, value in changes.items():
        if path in shared:  # each finds what the one before has left
            left[path] = value
            continue
        there, old = _looked_up(data, path)
        mark = found.values.get(path)
        if there and value is not None and mark is not None:
            splices += _replaced(found, mark, old, plain(value))
        elif there or value is not None:
            left[path] = value
    text = spliced(text, splices)
    # What moves other keys comes one by one.
    for path, value in left.items():
        if path in shared:
            text = set_keys(text, {path: value})
            continue
        text = remove(text, path) if value is None else _with_key(text, path, plain(value))
    return text


def rename(text: str, path: Path, name: str) -> str:
    """The text with another name for a key or table, in every header and key that names it."""
    splices = [
        (begin, end, _key_like(text[begin:end], str(path[-1]), name))
        for mark in layout(text).marks
        for named, begin, end in mark.named()
        if named == path
    ]
    return spliced(text, splices)


def rename_values(text: str, paths: Iterable[Path], name: str) -> str:
    """The text with another text as the value of each of these keys and items, in quotes as they were."""
    values = layout(text).values
    marks = [values[path] for path in paths]
    return spliced(text, [(m.value, m.end, _text_like(text[m.value : m.end], name)) for m in marks])


def remove(text: str, *paths: Path) -> str:
    """The text without these keys, tables or items, none within another.

    The comments in and beside what goes go with it, those around it stay.
    """
    found = layout(text)
    inside = [each for path in paths for each in found.in_line(path)]
    text = spliced(text, [splice for path in paths if path not in inside for splice in found.without(path)])
    # What stands in one line is taken out one by one, the last first, so that items before it keep their number.
    order = {mark.path: row for row, mark in enumerate(found.marks)}
    for path in sorted(inside, key=lambda path: order[path], reverse=True):
        text = spliced(text, layout(text).without(path))
    return text


def move(text: str, path: Path, to: Path) -> str:
    """The text with an item of a list of tables moved, with all that stands in it and the comments right above it.

    `to` is the path that it has then: in the same list, or the next item of another.
    """
    if path == to:
        return text
    found = layout(text)
    if mark := found.values.get(path):
        item = text[mark.value : mark.end]
        return _put(remove(text, path), to, item)
    if path[:-1] != to[:-1] and to[:-1] in found.values:
        return _put(
            remove(text, path), to, written_value(_looked_up(tomllib.loads(text), path)[1], dotted(to))
        )
    begin, end = found.block(path)
    old, new = ([part for part in each if isinstance(part, str)] for each in (path, to))
    named = ".".join(key_of(name) for name in new)
    headers = [mark for mark in found.headers.values() if mark.path[: len(path)] == path]
    names = [(m.names[0][0] - begin, m.names[len(old) - 1][1] - begin, named) for m in headers]
    block = text[begin:end] if old == new else spliced(text[begin:end], names)
    return _put(
        spliced(text, [found.without_block(path)]), to, block if block.endswith("\n") else f"{block}\n"
    )


def insert(text: str, path: Path, table: Mapping[str, Any]) -> str:
    """The text with a new item in a list of tables, before the one that has its place; PosekitError as `add`."""
    found = layout(text)
    if path[:-1] in found.values:
        return _put(text, path, written_value(table, dotted(path)))
    return _put(text, path, _block(path, table)) if found.has(path) else add(text, path, table)


def _put(text: str, path: Path, written: str) -> str:
    """The text with an item of a list as it is written, before the one that has its place or behind all."""
    found = layout(text)
    if found.has(path):
        return spliced(text, [found.before_item(path, written)])
    if mark := found.values.get(path[:-1]):
        return spliced(text, [found.with_item(mark, written)])
    kin = path[:-1] if found.has(path[:-1]) else path[:-2]
    return spliced(text, [found.with_block(kin, written)])


def _block(path: Path, table: Mapping[str, Any]) -> str:
    """A table under a header of its own, as it is written."""
    names = ".".join(key_of(part) for part in path if isinstance(part, str))
    header = f"[{names}]" if isinstance(path[-1], str) else f"[[{names}]]"
    rows = [f"{key_of(name)} = {written_value(value, dotted(path))}" for name, value in table.items()]
    return "\n".join([header, *rows]) + "\n"


def add(text: str, path: Path, table: Mapping[str, Any], after: Iterable[str] = ()) -> str:
    """The text with a new table under a header of its own, behind its kin.

    The last part of the path may be a number: the table is then one more in a list of tables. Where its kin stand in
    braces or brackets it stands there, too; without kin it comes behind the latest of the tables `after`. Raises
    PosekitError for values that TOML cannot hold.
    """
    found = layout(text)
    around, place = path[:-1], dotted(path)
    if around in found.values:
        value = written_value(table, place)
        item = f"{key_of(path[-1])} = {value}" if isinstance(path[-1], str) else value
        return spliced(text, [found.with_item(found.values[around], item)])
    kin = around if isinstance(path[-1], str) else around[:-1]
    if any(kin[:depth] in found.values for depth in range(1, len(kin) + 1)):  # all of it stands in braces
        return _with_key(text, around, [dict(table)]) if kin != around else _with_key(text, path, table)
    return spliced(text, [found.with_block(kin, _block(path, table), after)])


def append(text: str, path: Path, value: Any) -> str:
    """The text with one more item in a list in brackets, which is made where it is missing."""
    found = layout(text)
    if path not in found.values:
        return set_keys(text, {path: [value]})
    return spliced(text, [found.with_item(found.values[path], written_value(value, dotted(path)))])


def _looked_up(data: Any, path: Path) -> tuple[bool, Any]:
    """Whether something stands there, and what. Raises PosekitError for a path that leads nowhere."""
    for depth, part in enumerate(path):
        if isinstance(data, dict) and isinstance(part, str):
            if part not in data:
                if all(isinstance(rest, str) for rest in path[depth:]):
                    return False, None
                break
            data = data[part]
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            break
    else:
        return True, data
    sentence = "is not in the prop file; use the path of a key that is there, or of a new one in its tables"
    raise PosekitError([error("unknown-key", dotted(path), sentence)])


def _replaced(found: Layout, mark: Mark, old: Any, new: Any) -> list[Splice]:
    """What makes a value another: of a list as long as before, those items that change."""
    if type(new) is type(old) and new == old:
        return []
    if isinstance(old, list) and isinstance(new, (list, tuple)) and len(old) == len(new) > 0:
        items = [found.values.get((*mark.path, i)) for i in range(len(old))]
        return [
            splice
            for item, before, after in zip(items, old, new, strict=True)
            if item is not None and not _is_same(before, after)
            for splice in _replaced(found, item, before, after)
        ]
    return [(mark.value, mark.end, written_value(new, dotted(mark.path)))]


def _is_same(old: Any, new: Any) -> bool:
    """True for one number, whichever way it is spelled in a list of numbers."""
    are_numbers = all(isinstance(each, (int, float)) and not isinstance(each, bool) for each in (old, new))
    return are_numbers and old == new


def _with_key(text: str, path: Path, value: Any) -> str:
    """The text with a key that has no value of its own yet; a table under headers or of dotted keys makes room."""
    found = layout(text)
    around, name = path[:-1], path[-1]
    if not isinstance(name, str):
        sentence = "is a whole table of a list; change its keys one by one"
        raise PosekitError([error("unknown-key", dotted(path), sentence)])
    if path in found.headers and isinstance(value, Mapping):
        gone = {tuple(mark.path[: len(path) + 1]) for mark in found.marks if len(mark.path) > len(path)}
        gone = {each for each in gone if each[:-1] == path and each[-1] not in value}
        return set_keys(text, {**dict.fromkeys(gone), **{(*path, key): each for key, each in value.items()}})
    if found.has(path):
        text = remove(text, path)
        found = layout(text)
    in_braces = any(path[:depth] in found.values for depth in range(1, len(path)))
    if isinstance(value, Mapping) and len(path) <= 2 and not in_braces:
        return add(text, path, value)
    if found.has(around) or not around:
        return spliced(text, [found.with_pair(around, name, written_value(value, dotted(path)))])
    return _with_key(text, around, {name: value})


def _key_like(old: str, old_name: str, name: str) -> str:
    """A name as a key, in quotes where TOML needs them, or where the old one had them without need."""
    had_quotes = old.startswith(("'", '"'))
    if is_bare(name) and not (had_quotes and is_bare(old_name)):
        return name
    return _text_like(old, name) if had_quotes else quoted(name)


def _text_like(old: str, text: str) -> str:
    """A text in quotes of the kind that the old one has, as far as they can hold it."""
    is_literal = old.startswith("'") and not old.startswith("'''")
    return f"'{text}'" if is_literal and "'" not in text and text.isprintable() else quoted(text)
