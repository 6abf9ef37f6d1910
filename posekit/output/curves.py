"""Curves of a motion as CSV: what each drive was sent, and what its shaft did."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

import numpy as np

from posekit.arrays import Array
from posekit.output.cells import text_cell


def encode(names: Sequence[str], times: Array, commanded: Array, position: Array, velocity: Array) -> bytes:
    """One row a time (T,) [s]: for each drive the angle sent [deg], the angle [deg] and the speed [deg/s], (T, D)."""
    columns = [
        f"{name}_{curve}"
        for name in names
        for curve in ("commanded_deg", "position_deg", "velocity_deg_per_s")
    ]
    table = np.stack([commanded, position, velocity], axis=2).reshape(len(times), -1)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["time_s", *map(text_cell, columns)])
    for time, row in zip(times.tolist(), table.tolist(), strict=True):
        writer.writerow([f"{time:.6f}", *(f"{number:.6f}" for number in row)])
    return text.getvalue().encode()
