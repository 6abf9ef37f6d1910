"""Every shape of a prop with where it stands: what a form is read from and named by."""

from __future__ import annotations

from collections.abc import Iterator

from posekit.prop.model import Link, Prop, Shape
from posekit.shape import Source
from posekit.toml.places import dotted


def sources(prop: Prop) -> Iterator[tuple[int, Shape, Source]]:
    """Each shape in the order of the prop file: the row of its link, the shape, and the source of its form."""
    for row, link in enumerate(prop.links):
        for shape, source in sources_of(prop, link):
            yield row, shape, source


def sources_of(prop: Prop, link: Link) -> Iterator[tuple[Shape, Source]]:
    """Each shape of a link of the prop, with the source of its form."""
    for number, shape in enumerate(link.shapes):
        yield shape, Source(prop.files, dotted(("links", link.name, "shapes", number)))
