"""Small props for motion tests, as files."""

from posekit.prop.reader import read

ARM = """
format = 1
name = "Arm"
[servos.plain]
speed = 300.0
[links.base]
[[links.base.shapes]]
box = [30, 30, 30]
[links.arm]
[[links.arm.shapes]]
box = [200, 20, 20]
at = [100, 0, 0]
[links.hand]
[[links.hand.shapes]]
sphere = {radius = 10}
at = [40, 0, 0]
[joints.shoulder]
type = "revolute"
parent = "base"
child = "arm"
axis = [0, 1, 0]
[joints.slide]
type = "prismatic"
parent = "arm"
child = "hand"
at = [200, 0, 0]
axis = [1, 0, 0]
[drives.shoulder]
servo = "plain"
joint = "shoulder"
address = 1
speed = 120.0
acceleration = 600.0
[drives.slide]
servo = "plain"
joint = "slide"
address = 3
bits = 16
linkage = {type = "slider_crank", crank = 10.0, coupler = 40.0, shaft_zero = 90.0, joint_zero = 38.72983346207417}
"""


def arm(text=ARM, files=None):
    return read({"prop.toml": text.encode(), **(files or {})})
