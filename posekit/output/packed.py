"""Whole numbers in few bytes: differences in byte planes, all of them deflated at once.

NumPy and zlib alone, so that the same bytes come natively and in the browser; whoever reads them needs nothing but the
deflate that every browser has. The layout, which `web/src/director/packed.ts` reads:

    zlib (RFC 1950) of: length of the JSON (uint32, little-endian), the JSON (UTF-8), the planes

An array (N, C) stands in the JSON as `{"at", "rows", "columns", "bytes", "order", "from", "step"}`. For each column,
from the lowest byte to the highest, N bytes of that plane; they are the `order`-th differences down the rows
(the first from zero), zigzag: 0, -1, 1, -2 ... as 0, 1, 2, 3 .... A number is `from[column] + step * whole`.
"""

from __future__ import annotations

import json
import zlib
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

LEVEL = 9  # of zlib: a file is made once, and sent and opened often


@dataclass(slots=True)
class Packed:
    """The planes of a file under construction."""

    _planes: bytearray = field(default_factory=bytearray)

    def numbers(self, numbers: ArrayLike, step: float, *, order: int = 1) -> dict[str, Any]:
        """Where numbers (N, C), to within `step` / 2, will stand."""
        table = np.asarray(numbers, float)
        low = table.min(axis=0) if len(table) else np.zeros(table.shape[1])
        return self.whole(np.rint((table - low) / step), order=order) | {"from": low.tolist(), "step": step}

    def whole(self, numbers: ArrayLike, *, order: int = 1) -> dict[str, Any]:
        """Where whole numbers (N, C) will stand."""
        left = np.asarray(numbers).astype(np.int64)
        for _ in range(order):
            left = np.diff(left, axis=0, prepend=0)
        folded = (left << 1) ^ (left >> 63)
        count = max(1, (int(folded.max(initial=0)).bit_length() + 7) // 8)
        place = len(self._planes)
        for column in folded.T:
            for plane in range(count):
                self._planes += ((column >> (8 * plane)) & 0xFF).astype(np.uint8).tobytes()
        rows, columns = left.shape
        return {
            "at": place, "rows": rows, "columns": columns, "bytes": count, "order": order,
            "from": [0.0] * columns, "step": 1.0,
        }  # fmt: skip

    def encode(self, said: dict[str, Any]) -> bytes:
        """All of it, deflated, with the JSON that says where what stands."""
        head = json.dumps(said, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode(
            "utf-8", "replace"
        )
        return zlib.compress(len(head).to_bytes(4, "little") + head + bytes(self._planes), LEVEL)
