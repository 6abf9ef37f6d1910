"""The binary half of a GLB: arrays and files appended one after the other, with the views that find them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    from pygltflib import Accessor, BufferView

VECTOR_TYPES = {1: "SCALAR", 3: "VEC3", 4: "VEC4"}


class Binary:
    """Bytes, buffer views and accessors of one GLB under construction."""

    def __init__(self) -> None:
        self.content = bytearray()
        self.views: list[BufferView] = []
        self.accessors: list[Accessor] = []

    def file(self, content: bytes, target: int | None = None) -> int:
        """Append at least one byte; the index of their view. pygltflib pads every view to 4 bytes as it saves."""
        from pygltflib import BufferView

        self.views.append(
            BufferView(buffer=0, byteOffset=len(self.content), byteLength=len(content), target=target)
        )
        self.content += content
        return len(self.views) - 1

    def vertices(self, array: ArrayLike) -> int:
        """Append an attribute (V, 3) of vertices; the index of its accessor."""
        from pygltflib import ARRAY_BUFFER

        return self._array(np.asarray(array, np.float32), ARRAY_BUFFER)

    def faces(self, faces: NDArray[np.int64]) -> int:
        """Append triangles (F, 3); the index of their accessor."""
        from pygltflib import ELEMENT_ARRAY_BUFFER

        # 65535 is no index but the restart of a primitive.
        width = np.uint16 if faces.max() < 65535 else np.uint32
        return self._array(faces.ravel().astype(width), ELEMENT_ARRAY_BUFFER)

    def keys(self, array: ArrayLike) -> int:
        """Append keys of an animation (T,) or (T, 3 or 4); the index of their accessor."""
        return self._array(np.asarray(array, np.float32), None)

    def _array(self, array: NDArray[np.generic], target: int | None) -> int:
        from pygltflib import FLOAT, UNSIGNED_INT, UNSIGNED_SHORT, Accessor

        component = {"f4": FLOAT, "u2": UNSIGNED_SHORT, "u4": UNSIGNED_INT}[array.dtype.str[1:]]
        table = array.reshape(len(array), -1)
        self.accessors.append(
            Accessor(
                bufferView=self.file(array.astype(array.dtype.newbyteorder("<")).tobytes(), target),
                componentType=component,
                count=len(table),
                type=VECTOR_TYPES[table.shape[1]],
                min=table.min(axis=0).tolist(),
                max=table.max(axis=0).tolist(),
            )
        )
        return len(self.accessors) - 1
