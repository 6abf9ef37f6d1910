"""What stands in the attributes of a URDF's elements; whatever is wrong is gathered, and a default takes its place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from posekit.budgets import ROW_LETTERS
from posekit.errors import Finding, error, note
from posekit.exchange.urdf.model import ORIGIN, Pose, Triple
from posekit.exchange.xmltree import Element
from posekit.fields import KILOMETRE_MM
from posekit.text import decimal, exact, shortened

LARGEST = 1e9  # of any number but a limit, which some make endless so: kilograms, radians, factors
LONGEST_M = KILOMETRE_MM / 1000.0


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

    def number(
        self, element: Element, key: str, subject: str, default: float | None = None, most: float = LARGEST
    ) -> float:
        """A number of at most `most`, either sign; `default` where the attribute is missing and may be."""
        if default is not None and key not in element.attributes:
            return default
        return self._numbers(element, key, 1, subject, most)[0]

    def triple(self, element: Element, key: str, subject: str, default: Triple | None = None) -> Triple:
        """Three numbers; `default` where the attribute is missing and may be."""
        if default is not None and key not in element.attributes:
            return default
        x, y, z = self._numbers(element, key, 3, subject)
        return x, y, z

    def four(self, element: Element, key: str, subject: str) -> Sequence[float]:
        """Four numbers."""
        return self._numbers(element, key, 4, subject)

    def length(self, element: Element, key: str, subject: str) -> float:
        """A length [m], from 0 to as long as a prop may be."""
        return self.checked(element, key, self.number(element, key, subject), subject)

    def checked(self, element: Element, key: str, length: float, subject: str) -> float:
        """The length itself, told where it is none."""
        if not 0 <= length <= LONGEST_M:
            self.tell(element, subject, f"{key} = {exact(length)}: use 0 to {exact(LONGEST_M)} m")
        return abs(length)

    def pose(self, element: Element, subject: str) -> Pose:
        """The <origin> in an element; where there is none it stands at 0."""
        if (origin := element.one("origin")) is None:
            return Pose()
        pose = Pose(self.triple(origin, "xyz", subject, ORIGIN), self._turn(origin, subject))
        if max(map(abs, pose.xyz)) > LONGEST_M:
            right = f"lies more than {exact(LONGEST_M)} m away; a URDF is in metres"
            self.tell(origin, subject, f"xyz = {list(pose.xyz)}: {right}")
        return pose

    def _turn(self, origin: Element, subject: str) -> Triple:
        """Roll, pitch and yaw of an <origin>, which URDF 1.1 may have as a quaternion."""
        if "quat_xyzw" not in origin.attributes:
            return self.triple(origin, "rpy", subject, ORIGIN)
        if "rpy" in origin.attributes:
            self.tell(origin, subject, "has both rpy and quat_xyzw; leave one of them out")
        x, y, z, w = self.four(origin, "quat_xyzw", subject)
        if not 1e-9 < math.hypot(x, y, z, w) < 1e9:
            self.tell(origin, subject, f"quat_xyzw = {[x, y, z, w]}: is no turn; use 0 0 0 1 for none")
            return ORIGIN
        return _rpy(x, y, z, w)

    def tell(self, element: Element, subject: str, sentence: str) -> None:
        """Gather a problem."""
        self.problems.append(error("urdf", subject, sentence, file=self.name, line=element.line))

    def mention(self, element: Element, code: str, subject: str, sentence: str) -> None:
        """Gather what is to be told and no problem."""
        self.notes.append(note(code, subject, sentence, file=self.name, line=element.line))

    def _numbers(
        self, element: Element, key: str, count: int, subject: str, most: float = LARGEST
    ) -> list[float]:
        words = element.attributes.get(key, "").split()
        values = [value for word in words if (value := decimal(word)) is not None and abs(value) <= most]
        if len(words) == count == len(values):
            return values
        wanted = "a number is needed" if count == 1 else f"{count} numbers with spaces between are needed"
        wanted += "" if most == math.inf else f", none beyond {exact(most)}"
        if key in element.attributes:
            found = f"{key} = '{shortened(element.attributes[key], ROW_LETTERS)}'"
        else:
            found = f"<{element.tag}> has no {key}"
        self.tell(element, subject, f"{found}: {wanted}")
        return [0.0] * count


def _rpy(x: float, y: float, z: float, w: float) -> Triple:
    """Roll, pitch and yaw [rad] of a quaternion of any length, by the rotation matrix that it stands for.

    Where the pitch is a right angle only roll and yaw together are known; the yaw is 0 there.
    """
    # Times the square of its length, which no angle below depends on (any text on quaternions).
    r00, r10, r20 = w * w + x * x - y * y - z * z, 2 * (x * y + w * z), 2 * (x * z - w * y)
    r21, r22 = 2 * (y * z + w * x), w * w - x * x - y * y + z * z
    level = math.hypot(r00, r10)
    if level < 1e-12 * (w * w + x * x + y * y + z * z):
        r11, r12 = w * w - x * x + y * y - z * z, 2 * (y * z - w * x)
        return math.atan2(-r12, r11), math.atan2(-r20, level), 0.0
    return math.atan2(r21, r22), math.atan2(-r20, level), math.atan2(r10, r00)
