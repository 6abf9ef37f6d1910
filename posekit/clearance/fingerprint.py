"""A name for the model of a pair by its content: the same question has the same name, and nothing else has."""

from __future__ import annotations

from hashlib import sha256

import numpy as np

import posekit
from posekit.clearance.pair_model import PairModel

METHOD = "3"  # raise it when verdicts could come out otherwise


def fingerprint(model: PairModel, resolution: float, margin_mm: float) -> str:
    """SHA-256 of all that the verdict on a pair depends on: chain, pieces, coordinates, drives, margin and posekit.

    Of the other drives only names and rest values count, which its witness tells. A change of any other part
    of the prop keeps the name, so its verdict need not be found again.
    """
    chain, pieces = model.chain, model.pieces
    drives = [model.prop.drives[d] for d in chain.drives]
    servos = {drive.servo for drive in drives}
    trains = [
        drive for drive in model.prop.drives if drive.joint in {joint.name for joint in chain.part.joints}
    ]
    content = sha256()
    said = (
        METHOD, posekit.__version__, resolution, margin_mm, model.pair, chain.part.joints, chain.part.fixed,
        chain.joint, drives, trains,
        [(drive.name, drive.rest_value) for drive in model.prop.drives],
        [servo for servo in model.prop.servos if servo.name in servos],
    )  # fmt: skip
    content.update(repr(said).encode())
    for array in (
        chain.own.span,
        chain.own.slope,
        chain.own.offset,
        chain.own.stops,
        pieces.rotation,
        pieces.centre,
        pieces.radius,
        pieces.cores.half,
        pieces.cores.disc,
        *model.corners,
    ):
        content.update(repr(array.shape).encode())
        content.update(np.ascontiguousarray(array).tobytes())
    return content.hexdigest()
