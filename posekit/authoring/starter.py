"""A prop to begin with: the smallest figure that moves, every key with what it is and where its number comes from."""

from __future__ import annotations

from posekit.authoring.servo_types import typical_table
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Prop
from posekit.prop.reader import read
from posekit.toml.places import quoted

_BEGIN = """\
# Lengths in mm, angles in degrees, masses in g. +Z is up, +X is the front. All keys: posekit schema
format = 1                      # of this file
name = {name}

"""

_REST = """
[links.base]                    # the part that stands; everything else hangs on it
mass = 400                      # g, weighed; leave it out and it is density times volume
[[links.base.shapes]]           # box, sphere, cylinder, capsule or mesh = "meshes/NAME.stl"
box = [80, 60, 20]              # full edge lengths, from your drawing
at = [0, 0, 10]                 # its middle, in the frame of the part

[links.arm]                     # the part that moves
mass = 60
[[links.arm.shapes]]
capsule = {{radius = 8, length = 90}}  # length between the middles of its round ends
at = [0, 0, 45]                 # from the joint, because the frame of a part is at its joint

[joints.shoulder]               # what holds the arm to the base
type = "revolute"               # turns; prismatic slides, fixed does neither
parent = "base"
child = "arm"
at = [0, 0, 28]                 # middle of its shaft in the frame of the base, from your drawing
axis = [0, 1, 0]                # along its shaft: turning from +Z to +X counts up
zone = 12                       # how far from the shaft the two may touch, as in a bearing
stops = [-50, 50]               # where it can go at most, moved by hand

[drives.shoulder]               # a servo in its place, and the channel that moves it
servo = {kind}
joint = "shoulder"              # directly on its shaft; for rods and gears see: posekit linkage
universe = 1                    # from the patch of your lighting
address = 1                     # 1 to 512
pulse = {{low = 1100, high = 1900, trim = 0}}  # µs at value 0 and at full, found on the bench
"""


def starter(name: str, kind: str = "standard") -> Prop:
    """A base, an arm, and a servo of the class `kind` (a name of `servo_classes.CLASSES`) that moves it."""
    text = _BEGIN.format(name=quoted(name)) + typical_table(kind, kind) + _REST.format(kind=quoted(kind))
    return read({PROP_FILE: text.encode()})
