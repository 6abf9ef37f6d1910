"""What stands in the attributes of a URDF's elements; whatever is wrong is gathered, and a default takes its place."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from posekit.budgets import DIGITS, ROW_LETTERS
from posekit.errors import Finding, error, note
from posekit.exchange.urdf.model import ORIGIN, Pose, Triple
from posekit.exchange.xmltree import Element
from posekit.fields import KILOMETRE_MM
from posekit.text import shortened

LONGEST_M = KILOMETRE_MM / 1000.0
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,4})?")


@dataclass(slots=True)
class Attributes:
    """Reads the attributes of one file, whose `name` is how messages call it. `subject` is what an element is of."""

    name: str
    problems: list[Finding] = field(default_factory=list)
    notes: list[Finding] = field(default_factory=list)

    def text(self, element: Element, key: str, subject: str) -> str:
        """A text; empty where there is none."""
        found = element.attributes.get(key, "").strip()
        if not found:
            self.tell(element, subject, f"<{element.tag}> has no {key}; it needs one")
        return found

    def number(self, element: Element, key: str, subject: str, default: float | None = None) -> float:
        """A finite number; `default` where the attribute is missing and may be."""
        if default is not None and key not in element.attributes:
            return default
        return self._numbers(element, key, 1, subject)[0]

    def triple(self, element: Element, key: str, subject: str, default: Triple | None = None) -> Triple:
        """Three finite numbers; `default` where the attribute is missing and may be."""
        if default is not None and key not in element.attributes:
            return default
        x, y, z = self._numbers(element, key, 3, subject)
        return x, y, z

    def four(self, element: Element, key: str, subject: str) -> Sequence[float]:
        """Four finite numbers."""
        return self._numbers(element, key, 4, subject)

    def length(self, element: Element, key: str, subject: str) -> float:
        """A length [m], from 0 to as long as a prop may be."""
        return self.checked(element, key, self.number(element, key, subject), subject)

    def checked(self, element: Element, key: str, length: float, subject: str) -> float:
        """The length itself, told where it is none."""
        if not 0 <= length <= LONGEST_M:
            self.tell(element, subject, f"{key} = {length:g}: use 0 to {LONGEST_M:g} m")
        return abs(length)

    def pose(self, element: Element, subject: str) -> Pose:
        """The <origin> in an element; where there is none it stands at 0."""
        if (origin := element.one("origin")) is None:
            return Pose()
        if "quat_xyzw" in origin.attributes:
            self.tell(origin, subject, "has quat_xyzw; write its turn as rpy='roll pitch yaw' in radians")
        pose = Pose(self.triple(origin, "xyz", subject, ORIGIN), self.triple(origin, "rpy", subject, ORIGIN))
        if max(map(abs, pose.xyz)) > LONGEST_M:
            right = f"lies more than {LONGEST_M:g} m away; a URDF is in metres"
            self.tell(origin, subject, f"xyz = {list(pose.xyz)}: {right}")
        return pose

    def tell(self, element: Element, subject: str, sentence: str) -> None:
        """Gather a problem."""
        self.problems.append(error("urdf", subject, sentence, file=self.name, line=element.line))

    def mention(self, element: Element, code: str, subject: str, sentence: str) -> None:
        """Gather what is to be told and no problem."""
        self.notes.append(note(code, subject, sentence, file=self.name, line=element.line))

    def _numbers(self, element: Element, key: str, count: int, subject: str) -> list[float]:
        words = element.attributes.get(key, "").split()
        if len(words) == count and all(len(word) <= DIGITS and _NUMBER.fullmatch(word) for word in words):
            values = [float(word) for word in words]
            if all(map(math.isfinite, values)):
                return values
        wanted = "a number is needed" if count == 1 else f"{count} numbers with spaces between are needed"
        if key in element.attributes:
            found = f"{key} = '{shortened(element.attributes[key], ROW_LETTERS)}'"
        else:
            found = f"<{element.tag}> has no {key}"
        self.tell(element, subject, f"{found}: {wanted}")
        return [0.0] * count
