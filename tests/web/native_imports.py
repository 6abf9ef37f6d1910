"""Imported once, by the process that each native Python of a page is forked from: what takes long to import.

It is imported as a page has it, without the packages that it would look for else, and do with them what no page does.
What nearly every page asks of the same prop is found once, too.
"""

from __future__ import annotations

from importlib import import_module

import posekit
from posekit.clearance import watch
from tests.web.native_python import BRIDGE, ROOT, packages_of_the_page

with packages_of_the_page():
    for module in (*BRIDGE, "trimesh", "pygltflib"):
        import_module(module)
    watch(posekit.load(ROOT / "models" / "heron"))
