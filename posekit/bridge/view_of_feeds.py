"""What feeds the drives, and what makes their pulses, as the page edits both."""

from __future__ import annotations

from dataclasses import replace

from posekit.bridge.key_views import field_views
from posekit.bridge.views import FeedView, FieldView
from posekit.prop.feeds import Feed, feeds
from posekit.prop.model import Prop
from posekit.toml.places import dotted

NOT_KNOWN = "not known"


def feed_views(prop: Prop) -> tuple[FeedView, ...]:
    """All that feeds drives, in the order of `feeds`."""
    return tuple(_feed_view(prop, feed) for feed in feeds(prop))


def _feed_view(prop: Prop, feed: Feed) -> FeedView:
    place, supply = dotted(feed.path), feed.supply
    wire = supply.wire if supply else None
    return FeedView(
        name=feed.name,
        path=place,
        there=supply is not None,
        wired=wire is not None,
        drives=tuple(prop.drives[d].name for d in feed.drives),
        fields=(
            *(field_views(supply, place) if supply else ()),
            *(field_views(wire, f"{place}.wire", ("wire",)) if wire else ()),
        ),
    )


def receiver_fields(prop: Prop) -> tuple[FieldView, ...]:
    """The keys of the receiver; without its table, too."""
    return tuple(replace(view, unset=NOT_KNOWN) for view in field_views(prop.receiver, "receiver"))
