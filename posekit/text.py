"""Words for people's eyes: text of others made safe to print, and numbers that are written as text."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import NamedTuple

from posekit.budgets import DIGITS, NAMES_TOLD, ROW_LETTERS, TOLD_LETTERS, VALUE_LETTERS

# What a terminal obeys (C0, DEL, C1), what turns the order of letters round (bidirectional marks, embeddings, overrides
# and isolates), what ends a line, what no eye can see, and halves of letters that no encoding takes. The joiners
# U+200C and U+200D are left: words of several scripts are misspelt without them.
UNSAFE = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\ud800-\udfff\U000e0000-\U000e007f]"
)

_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")
# Each digit has one place to be read in: to try others would take time that grows with the square of their number.
_DECIMAL = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")

# A comma before three digits, of a number that may have thousands: nobody can tell it from a decimal comma.
_TWO_READINGS = re.compile(r"([+-]?)([1-9][0-9]{0,2}),([0-9]{3})")

_BARE_COMMA = re.compile(
    r"([+-]?[0-9]+),([0-9]+)"
)  # between two digits: it parts two numbers, or is a decimal comma

FIGURES = 4  # of a size or a mass: finer than it is made, and short enough to be read
PULSE_FIGURES = 7  # of a pulse that follows from others: finer than any servo is set
MOST_DECIMALS = 6  # a millionth of a millimetre or a gram is nothing
WRITTEN = 12  # figures that anybody writes; what stands behind them is what reckoning with float64 left
IN_FULL = (-6, 15)  # powers of ten that are written without an exponent: beyond, nobody counts the zeros


def printable(words: str, most: int = TOLD_LETTERS) -> str:
    r"""Words of others as one line that does nothing but stand there, at most `most` letters long.

    Control characters, bidirectional marks and what is invisible are written as escapes (`\x1b`, `\u202e`); what is
    too long loses its middle, because the end of a sentence says what would be right.
    """
    return shortened(UNSAFE.sub(_escaped, shortened(words, most)), most)


def printable_lines(words: str, most: int = TOLD_LETTERS) -> str:
    """The same for words of several lines, which stay lines; spaces at their ends and empty ones around go."""
    lines = [
        printable(line.replace("\t", " ").rstrip(), most) for line in shortened(words, most).splitlines()
    ]
    return "\n".join(lines).strip("\n")


def shortened(words: str, most: int = TOLD_LETTERS) -> str:
    """Words with their middle left out where they are longer than `most` letters."""
    if len(words) <= most:
        return words
    tail = (most - 3) // 3
    return f"{words[: most - 3 - tail]}...{words[len(words) - tail :]}"


def listed(names: Iterable[str], most: int = NAMES_TOLD) -> str:
    """Names as a message lists them: the first few, and how many more there are; `none` where there is none."""
    known = list(names)
    more = f" and {len(known) - most} more" if len(known) > most else ""
    return ", ".join(shortened(name, ROW_LETTERS) for name in known[:most]) + more or "none"


def counted(count: int, one: str, more: str = "") -> str:
    """`1 shape`, `3 shapes`."""
    return f"{count} {one if count == 1 else more or one + 's'}"


def exact(value: float) -> str:
    """A number as it was given, to its last figure: `1281.125`, `1000000`, `0.00002`; `1e+300` where no zeros help.

    For what somebody wrote or may write: a limit, a setting, what was found in a file. Nothing of it is rounded but
    what float64 leaves behind the twelfth figure.
    """
    if not math.isfinite(value) or not value:
        return str(value + 0.0).removesuffix(".0")  # no minus before a zero
    magnitude = math.floor(math.log10(abs(value)))
    if not IN_FULL[0] <= magnitude < IN_FULL[1]:
        return f"{value:.{WRITTEN}g}"
    decimals = max(WRITTEN - 1 - magnitude, 0)
    fixed = f"{value:.{decimals}f}"
    return fixed.rstrip("0").rstrip(".") if decimals else fixed


def plain(value: float, figures: int = FIGURES) -> str:
    """A number in about so many figures as people write it, without an exponent: `0.5`, `50.27`, `12346`."""
    if not abs(value) < 10.0 ** IN_FULL[1]:
        return exact(value)
    magnitude = math.floor(math.log10(abs(value))) if value else 0
    decimals = min(max(figures - 1 - magnitude, 0), MOST_DECIMALS)
    fixed = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return fixed.rstrip("0").rstrip(".") if decimals else fixed


def signed(told: str) -> str:
    """A number that was told, with its sign before it where it has none: `+3`, `-0.5`, and `0`."""
    return told if told.startswith("-") or told == "0" else f"+{told}"


def upward(value: float, decimals: int = 2) -> str:
    """A number that is at least `value`, with so many decimals: of what is a bound, or the least that will do."""
    if not math.isfinite(value):
        return exact(value)
    unit = 10.0**decimals
    # What is off by rounding alone stays.
    return f"{math.ceil(value * unit - 1e-6) / unit + 0.0:.{decimals}f}"


def downward(value: float, decimals: int = 2) -> str:
    """A number that is at most `value`, with so many decimals: of what is proved to be as much or more."""
    if not math.isfinite(value):
        return exact(value)
    unit = 10.0**decimals
    # What is off by rounding alone stays.
    return f"{math.floor(value * unit + 1e-6) / unit + 0.0:.{decimals}f}"


def short(cells: list[str]) -> str:
    """A row of a file as found, cut where it is long."""
    row = ",".join(cells)
    return row if len(row) <= ROW_LETTERS else row[: ROW_LETTERS - 3] + "..."


def whole(found: str) -> int | None:
    """The whole number that is written there; None where there is none."""
    # isdecimal alone would take other scripts' digits, and int() would take 1_000.
    return int(found) if _WHOLE.fullmatch(found) else None


def decimal(found: str) -> float | None:
    """The finite number that is written there, with a decimal point; None where there is none."""
    # float alone would take other scripts' digits, 1_000, nan and inf.
    number = float(found) if len(found) <= DIGITS and _DECIMAL.fullmatch(found) else math.nan
    return number if math.isfinite(number) else None


def number(found: str, comma: bool = False) -> float | None:
    """The finite number that somebody typed: as `decimal`, with spaces around it or the minus of print before it.

    With `comma` its point may be a decimal comma; who takes that asks `two_readings` of `1,500`. None where it is none.
    """
    written = found.strip().replace("\u2212", "-")
    return decimal(written.replace(",", ".") if comma else written)


def cell_number(found: str) -> float | None:
    """The number in a cell of a table, where a comma is a decimal comma; None for what is none or may be two."""
    plain = decimal(found)  # first what nearly all cells are
    return plain if plain is not None else None if two_readings(found) else number(found, comma=True)


class NumberList(NamedTuple):
    """The numbers of a list; or what is wrong with it, and whether it is that there are two ways to read it."""

    numbers: tuple[float, ...] = ()
    wrong: str | None = None
    either: bool = False


def numbers(found: str, several: bool = False) -> NumberList:
    """The numbers of a list that somebody typed, or what is wrong with it; of what has two readings, what to write.

    They stand apart by semicolons, tabs or lines, and a comma within one is a decimal comma; or by spaces, with or
    without a comma; or by commas alone. `several` says that one number would be too few, so that `8,10` is two of them.
    """
    text = found.strip().replace("\u2212", "-").rstrip(",")
    if re.search(r"[;\t\r\n]", text):
        words = [word.strip() for word in re.split(r"[;\t\r\n]+", text.rstrip(";"))]
    elif re.search(r"\s", text):
        words = re.split(r"\s*,\s+|\s+,\s*|\s+", text)
        if mixed := next((word for word in words if "," in word), None):
            return _either(mixed, _of_commas(mixed))
    elif not several and _BARE_COMMA.fullmatch(text):
        return _either(text, _of_commas(text))
    else:
        words = text.split(",")
    read = []
    for word in words:
        if readings := two_readings(word):
            return _either(word, readings)
        if (one := number(word, comma=True)) is None:
            return NumberList(wrong=f"“{printable(word, VALUE_LETTERS)}” is not a number")
        read.append(one)
    return NumberList(tuple(read))


def _either(word: str, readings: str) -> NumberList:
    return NumberList(wrong=f"“{printable(word, VALUE_LETTERS)}” {readings}", either=True)


def _of_commas(word: str) -> str:
    """What is wrong with `12,5` among numbers, and what to write."""
    if pair := _BARE_COMMA.fullmatch(word):
        return f"can be read in two ways; write {pair[1]}.{pair[2]} or {pair[1]}, {pair[2]}"
    return "has commas that can be read in two ways; put a semicolon between numbers"


def two_readings(found: str) -> str | None:
    """What is wrong with `1,500` or `-1,500`, which is two numbers, and what to write; None of what is read one way."""
    number = _TWO_READINGS.fullmatch(found.replace("\u2212", "-"))
    if number is None:
        return None
    sign, whole_part, rest = number[1], number[2], number[3]
    return f"can be read in two ways; write {sign}{whole_part}{rest} or {sign}{whole_part}.{rest}"


def _escaped(sign: re.Match[str]) -> str:
    return sign[0].encode("ascii", "backslashreplace").decode() if sign[0] > "\x7f" else repr(sign[0])[1:-1]
