"""What can be asked about parts, and done to them: each public method of `Parts` is one request of the page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from posekit.authoring import add, remove, rename, world
from posekit.authoring.parts import Kind
from posekit.bridge.part_forms import forms_view, keys_of_shape, part_form, rows_of, tree_view
from posekit.bridge.part_views import FormsView, GoesView, PartForm, TreeView
from posekit.bridge.views import PropView, Setting
from posekit.bridge.workbench import Workbench

FormName = Literal["box", "sphere", "cylinder", "capsule", "mesh"]


class Parts:
    """The parts of the prop on a workbench: which hang on which, what they are made of, and changes to both.

    Places in the world are those at the zero pose, where all joints stand at 0.
    """

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def part_tree(self) -> TreeView:
        """All parts, each behind the one it hangs on."""
        return tree_view(self._workbench.prop)

    def part_form(self, part: str) -> PartForm:
        """One part, to be edited: its keys and those of its shapes, and what it weighs."""
        return part_form(self._workbench.prop, part)

    def forms(self) -> FormsView:
        """The forms that a new shape can have, with numbers to begin with."""
        return forms_view(self._workbench.prop)

    def add_part(self, name: str, parent: str, form: FormName, keys: Mapping[str, Setting]) -> PropView:
        """A new part with one shape, fixed to another by a joint of its own; places of shapes are those of the world.

        `keys` are those of the form and of the shape, such as `radius`, `at` and `colour`.
        """
        prop, shapes = self._workbench.prop, [keys_of_shape(form, keys)]
        return self._workbench.take(add.add_link(prop, name, parent, {"shapes": shapes}))

    def add_shape(self, part: str, form: FormName, keys: Mapping[str, Setting]) -> PropView:
        """One more shape of a part; `keys` as for a new part, places in the frame of the part."""
        return self._workbench.take(add.add_shape(self._workbench.prop, part, keys_of_shape(form, keys)))

    def rename(self, kind: Kind, name: str, new: str) -> PropView:
        """Another name for a part, joint, drive, supply or type of servo, wherever it is named, in cues, too."""
        return self._workbench.take(rename.rename(self._workbench.prop, kind, name, new))

    def goes_with(self, kind: Kind, name: str) -> GoesView:
        """What would go with a part, joint, drive, supply or type of servo that is removed."""
        return GoesView(rows_of(remove.goes_with(self._workbench.prop, kind, name)))

    def remove(self, kind: Kind, name: str, with_all: bool = False) -> PropView:
        """Take a part, joint, drive, supply or type of servo out; what goes with it only if `with_all` says so."""
        return self._workbench.take(remove.remove(self._workbench.prop, kind, name, with_all=with_all))

    def remove_shape(self, part: str, number: int) -> PropView:
        """Take a shape of a part out, by its number from 0; its mesh file stays beside the prop."""
        return self._workbench.take(remove.remove_shape(self._workbench.prop, part, number))

    def hang(self, part: str, parent: str) -> PropView:
        """Hang a part, with all that hangs on it, on another; at the zero pose it stays where it is."""
        return self._workbench.take(world.hang(self._workbench.prop, part, parent))

    def move_shape(self, part: str, number: int, to: str) -> PropView:
        """Give a shape of a part, by its number from 0, to another part; at the zero pose it stays where it is."""
        return self._workbench.take(world.move_shape(self._workbench.prop, part, number, to))
