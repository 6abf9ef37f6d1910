"""A part and its shapes as forms to fill in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, fields, replace
from typing import Any

from posekit.authoring.parts import link_named, subtree
from posekit.authoring.remove import Affected
from posekit.bridge import words
from posekit.bridge.key_views import field_views
from posekit.bridge.part_views import FormsView, FormView, PartForm, PartView, ShapeView, TreeView
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import FieldView, Setting
from posekit.errors import Finding, PosekitError
from posekit.fields import Vector, types_of
from posekit.kinds import ending
from posekit.mechanism.mass import LinkMass, mass_of
from posekit.mechanism.tree import root_link
from posekit.prop.model import Joint, Link, Prop
from posekit.shape import FORMS, Form
from posekit.shape.mesh_file import READERS
from posekit.text import exact, plain
from posekit.toml.places import dotted

# Numbers that a new shape begins with [mm]: large enough to be seen and taken hold of in any figure.
BEGIN_MM = 40.0
BEGIN_RADIUS_MM = 10.0


def tree_view(prop: Prop) -> TreeView:
    """All parts, from the one that carries the others."""
    carried: dict[str, list[Joint]] = {}
    for each in (*prop.joints, *prop.fixed):
        carried.setdefault(each.parent, []).append(each)
    order = {link.name: row for row, link in enumerate(prop.links)}
    shapes = {link.name: len(link.shapes) for link in prop.links}
    found: list[PartView] = []
    waiting: list[tuple[str, int, Joint | None]] = [(root_link(prop), 1, None)]
    # Ends: a prop is a tree, so that each of its links is met once.
    while waiting:
        name, level, joint = waiting.pop()
        found.append(
            PartView(
                name=name,
                path=dotted(("links", name)),
                level=level,
                parent=joint.parent if joint else None,
                joint=joint.name if joint else None,
                type=joint.type if joint else None,
                shapes=shapes[name],
            )
        )
        below = sorted(carried.get(name, ()), key=lambda held: order[held.child], reverse=True)
        waiting += [(held.child, level + 1, held) for held in below]
    return TreeView(tuple(found))


def part_form(prop: Prop, name: str) -> PartForm:
    """One part. PosekitError if there is none of that name."""
    link = link_named(prop, name)
    weighed, findings = _weighed(prop, link)
    below = set(subtree(prop, name))
    return PartForm(
        name=name,
        path=dotted(("links", name)),
        fields=tuple(field_views(link, dotted(("links", name)))),
        shapes=tuple(_shape_view(prop, link, number) for number in range(len(link.shapes))),
        mass=_mass_words(link, weighed),
        mass_g=weighed.mass_g if weighed else None,
        places=tuple(other.name for other in prop.links if other.name not in below),
        findings=finding_views(prop, findings),
    )


def forms_view(prop: Prop) -> FormsView:
    """Every form that a new shape can have, meshes only where there is a mesh file beside the prop."""
    meshes = _mesh_files(prop)
    return FormsView(
        tuple(
            FormView(name, _first_line(form), tuple(_to_begin_with(form, name, meshes)))
            for name, form in FORMS.items()
            if name != "mesh" or meshes
        )
    )


def _mesh_files(prop: Prop) -> tuple[str, ...]:
    """The mesh files beside a prop."""
    return tuple(path for path in prop.files if ending(path) in READERS)


def keys_of_shape(form: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """The table of a shape of this form in the prop file, out of the keys of the form and those of the shape."""
    bare = FORMS[form].bare
    own = {field.name for field in fields(FORMS[form])}
    table = {key: value for key, value in given.items() if value is not None}
    inside = {key: table.pop(key) for key in list(table) if key in own}
    if bare is None:
        return {form: inside, **table}
    return {form: inside.pop(bare, None), **inside, **table}


def rows_of(affected: Iterable[Affected]) -> tuple[str, ...]:
    """What goes with a part, in the words of the page."""
    return tuple(
        f"{f'{each.file}: ' if each.file else ''}{words.place(dotted(each.path))} ({each.why})"
        for each in affected
    )


def _weighed(prop: Prop, link: Link) -> tuple[LinkMass | None, tuple[Finding, ...]]:
    try:
        return mass_of(prop, link), ()
    except PosekitError as unreadable:
        return None, unreadable.findings


def _mass_words(link: Link, weighed: LinkMass | None) -> str:
    if weighed is None:
        return "" if link.mass is None else f"{exact(link.mass)} g, as given"
    solid = f"{plain(weighed.volume_cm3)} cm³ of solid shapes"
    if link.mass is not None:
        return f"{exact(link.mass)} g, as given; {solid}"
    return f"{plain(weighed.mass_g)} g = {exact(link.density)} g/cm³ × {solid}"


def _shape_view(prop: Prop, link: Link, number: int) -> ShapeView:
    shape, path = link.shapes[number], dotted(("links", link.name, "shapes", number))
    form = _name_of(shape.form)
    return ShapeView(
        path=path,
        title=f"{form} {_size_words(shape.form)}",
        colour=shape.colour,
        fields=(*_form_fields(shape.form, form, path, _mesh_files(prop)), *field_views(shape, path)),
    )


def _form_fields(form: Form, name: str, path: str, meshes: tuple[str, ...]) -> Iterator[FieldView]:
    """The keys of a form where they stand: the one that stands alone is the form's own name in the prop file."""
    for view in field_views(form, path):
        own = view.path.rpartition(".")[2]
        if form.bare is None:
            yield replace(view, path=f"{path}.{name}.{own}")
        elif own == form.bare:
            of_mesh = name == "mesh"
            choices = meshes if of_mesh else ()
            yield replace(view, path=f"{path}.{name}", label=name, choices=choices, named=of_mesh)
        else:
            yield view


def _to_begin_with(form: type[Form], name: str, meshes: tuple[str, ...]) -> Iterator[FieldView]:
    hints = types_of(form)
    for field in fields(form):
        about = field.metadata
        choices: tuple[str, ...] = ()
        value: Setting
        if field.default is not MISSING:
            value = field.default
        elif hints[field.name] == Vector:
            value = (BEGIN_MM,) * 3
        elif hints[field.name] is float:
            value = BEGIN_RADIUS_MM if field.name == "radius" else BEGIN_MM
        else:
            value, choices = meshes[0], meshes
        yield FieldView(
            path=field.name,
            label=words.label((field.name,)),
            doc=words.doc(about["doc"]),
            unit=about["unit"],
            value=value,
            choices=choices,
            named=bool(choices),
        )


def _name_of(form: Form) -> str:
    return next(name for name, kind in FORMS.items() if isinstance(form, kind))


def _size_words(form: Form) -> str:
    """The sizes of a form as a few words: `80 × 60 × 20`, `radius 8, length 90`, `meshes/arm.stl`."""
    told = []
    for field in fields(form):
        value = getattr(form, field.name)
        if field.default is not MISSING:
            continue
        if isinstance(value, tuple):
            told.append(" × ".join(exact(each) for each in value))
        elif isinstance(value, str):
            told.append(value)
        else:
            told.append(f"{field.name} {exact(value)}")
    return ", ".join(told)


def _first_line(form: type[Form]) -> str:
    return (form.__doc__ or "").strip().splitlines()[0]
