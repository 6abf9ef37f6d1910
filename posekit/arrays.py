"""Arrays, and the letters that name their axes. What a letter stands for is the same everywhere.

    P   poses, or frames of a show         D   drives, in the order of `prop.drives`
    L   links, in the order of `prop.links`    J   joints that move, in the order of `prop.joints`
    K   pairs of links                     T   moments in time
    V   vertices or corners                F   triangles

`(P, D)` in a docstring is an array of a row a pose and a column a drive. Everything is batched over its first
axes; a single pose is P = 1. A transform is (..., 4, 4) and named by target first: `world_from_link`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]  # places in another array
Truth = NDArray[np.bool_]
Whole = NDArray[np.int64]  # values as they are sent, by their bits
Faces = NDArray[np.int64]  # (F, 3): the vertices of each triangle, by number
