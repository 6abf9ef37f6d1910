"""Verdicts kept for the next time, each with a digest over its question, its answer and posekit's version.

A kept verdict is printed as proof, so it is believed only as it was written: one that was changed by hand, that
another version wrote, or that answers another question is told and judged anew.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from hashlib import sha256
from math import isfinite
from typing import Any, Protocol

import posekit
from posekit.clearance.pair_model import PairModel
from posekit.clearance.verdict import VERDICTS, PairVerdict
from posekit.errors import Finding, PosekitError, note, warning

FORMAT = 1
FEW = 4  # pairs named in one finding


class Cache(Protocol):
    """Where verdicts are kept by content: a dict, or anything that takes and gives JSON data by name.

    `get` gives None for what is not kept. Either may raise OSError, ValueError or PosekitError: that is told, and
    the verdicts are found all the same.
    """

    def get(self, name: str, /) -> Any | None: ...

    def __setitem__(self, name: str, data: dict[str, Any], /) -> None: ...


@dataclass(slots=True)
class Shelf:
    """A cache, and what went wrong with it: that is told once, and never stops the work."""

    cache: Cache | None
    doubted: list[Finding] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)

    def find(self, name: str, model: PairModel) -> PairVerdict | None:
        """The verdict kept for a question, if there is one that can be believed."""
        if self.cache is None:
            return None
        try:
            data = self.cache.get(name)
            return None if data is None else verdict_from(name, model, data)
        except (ValueError, OSError, PosekitError, RecursionError) as problem:
            sentence = f"the stored result {name[:12]}... is not used ({problem}); the pair was checked again"
            self.doubted.append(warning("kept-doubtful", " - ".join(model.pair), sentence))
            return None

    def keep(self, name: str, verdict: PairVerdict) -> None:
        """Keep a verdict, if there is room; a cache that fails once is not asked again."""
        if self.cache is None or self.lost:
            return
        try:
            self.cache[name] = _kept_form(name, verdict)
        except (ValueError, OSError, PosekitError) as problem:
            self.lost.append(str(problem))

    def findings(self, verdicts: Iterable[PairVerdict]) -> Iterator[Finding]:
        """What to tell of it: the verdicts that were not judged now, those not believed, and those not kept."""
        kept = [" - ".join(verdict.pair) for verdict in verdicts if verdict.kept]
        if kept:
            named = ", ".join(kept[:FEW]) + (f" and {len(kept) - FEW} more" if len(kept) > FEW else "")
            pairs = "1 pair comes" if len(kept) == 1 else f"{len(kept)} pairs come"
            yield note("kept", "", f"{pairs} from an earlier run, not checked again: {named}")
        yield from self.doubted
        for problem in self.lost:
            yield warning("not-kept", "", f"the results could not all be stored for the next run: {problem}")


def _kept_form(name: str, verdict: PairVerdict) -> dict[str, Any]:
    """A verdict on the question `name` (its `fingerprint`) as JSON data to keep."""
    content = {
        "format": FORMAT,
        "posekit": posekit.__version__,
        "question": name,
        "verdict": asdict(replace(verdict, kept=False)),
    }
    return {**content, "digest": digest(content)}


def digest(content: Mapping[str, Any]) -> str:
    """SHA-256 of JSON data, written in the one way that sorts its keys."""
    return sha256(json.dumps(content, sort_keys=True, allow_nan=False).encode()).hexdigest()


def verdict_from(name: str, model: PairModel, data: object) -> PairVerdict:
    """The verdict kept for the question `name` about a pair. Raises ValueError with what is wrong with it."""
    if not isinstance(data, Mapping) or set(data) != {"format", "posekit", "question", "verdict", "digest"}:
        raise ValueError("it is not a stored verdict")
    content = {key: value for key, value in data.items() if key != "digest"}
    if (data["format"], data["posekit"]) != (FORMAT, posekit.__version__):
        raise ValueError(f"it was not written by posekit {posekit.__version__}")
    if data["question"] != name:
        raise ValueError("it belongs to another prop or other settings")
    try:
        written = digest(content)
    except (ValueError, TypeError, RecursionError) as problem:
        raise ValueError("it is not a stored verdict") from problem
    if data["digest"] != written:
        raise ValueError("it was changed after posekit wrote it")
    return _checked(model, data["verdict"])


def _checked(model: PairModel, found: object) -> PairVerdict:
    """A verdict from its fields as JSON gives them back, if they can be those of a verdict on this pair."""
    if not isinstance(found, Mapping) or set(found) != {field.name for field in fields(PairVerdict)}:
        raise ValueError("its fields are not those of a verdict")
    lists = {key: found[key] for key in ("pair", "joints", "drives")}
    if not all(isinstance(each, (list, tuple)) for each in lists.values()):
        raise ValueError("its names are not lists")
    verdict = PairVerdict(**{**found, **{key: tuple(each) for key, each in lists.items()}})
    names = {drive.name: drive.full_scale for drive in model.prop.drives}
    chain = model.chain
    fits = (
        verdict.pair == model.pair
        and verdict.joints == tuple(model.prop.joints[j].name for j in chain.joint)
        and verdict.drives == tuple(model.prop.drives[d].name for d in chain.drives)
    )
    if not fits:
        raise ValueError("it is for another pair")
    numbers = (verdict.clear_by_mm, verdict.nearest_mm, verdict.open_fraction)
    whole = (
        verdict.verdict in VERDICTS
        and all(
            each is None or (type(each) in (float, int) and each >= 0.0 and isfinite(each))
            for each in numbers
        )
        and verdict.open_fraction is not None
        and type(verdict.cells) is int
        and verdict.finished is True
        and verdict.kept is False
        and (verdict.clear_by_mm is not None) == (verdict.verdict in ("clear", "near"))
        and (verdict.witness is not None) == (verdict.verdict in ("strikes", "near"))
    )
    values = verdict.witness if verdict.witness is not None else dict.fromkeys(names, 0)
    if not whole or not isinstance(values, Mapping) or list(values) != list(names):
        raise ValueError("its values cannot be those of a verdict")
    if not all(type(value) is int and 0 <= value <= names[name] for name, value in values.items()):
        raise ValueError("its values cannot be sent")
    return replace(verdict, kept=True)
