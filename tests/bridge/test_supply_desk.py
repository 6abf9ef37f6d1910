"""Supplies and the receiver through the door: shown as they stand in the file, and edited with comments kept."""

from __future__ import annotations

import pytest

from posekit.bridge.parts_desk import Parts
from posekit.bridge.supply_desk import SupplyDesk
from posekit.bridge.views import FeedView, FieldView, PropView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError
from posekit.toml.editing import set_key
from tests.report.test_power import arm

BARE = set_key(arm().text, "supply", None)


def opened(text: str) -> tuple[Workbench, PropView]:
    workbench = Workbench()
    return workbench, workbench.open({"prop.toml": text.encode()}, "arm")


def feed(view: PropView, name: str) -> FeedView:
    return next(each for each in view.feeds if each.name == name)


def field(view: PropView, path: str) -> FieldView:
    fields = [*view.receiver, *(each for drive in view.drives for each in drive.fields)]
    fields += [each for one in view.feeds for each in one.fields]
    return next(each for each in fields if each.path == path)


def test_a_drive_is_hung_on_a_supply_that_is_added_renamed_and_removed() -> None:
    workbench, first = opened(f"{arm().text}\n# the last word\n")
    drive = workbench.prop.drives[0].name
    assert [each.name for each in first.feeds] == ["supply"]
    assert set(feed(first, "supply").drives) == {each.name for each in workbench.prop.drives}
    desk, parts = SupplyDesk(workbench), Parts(workbench)
    view = desk.add_supply("legs", 7.4, 5)
    assert feed(view, "legs").drives == () and feed(view, "legs").there
    hung = field(view, f"drives.{drive}.supply")
    assert (hung.choices, hung.unset, hung.value) == (("", "legs"), "supply", None)
    assert hung.named and not field(view, f"drives.{drive}.on_loss").named
    view = workbench.edit(hung.path, "legs")
    assert feed(view, "legs").drives == (drive,)
    view = parts.rename("supplies", "legs", "hips")
    assert feed(view, "hips").drives == (drive,) and "# the last word" in view.text
    (row,) = parts.goes_with("supplies", "hips").rows
    assert drive in row and "[supply] would feed it" in row
    with pytest.raises(PosekitError, match="not alone"):
        parts.remove("supplies", "hips")
    left = parts.remove("supplies", "hips", with_all=True)
    assert [line for line in left.text.splitlines() if line] == [
        line for line in first.text.splitlines() if line
    ]


def test_the_supply_of_all_comes_with_all_that_it_needs_and_so_does_its_wire() -> None:
    workbench, first = opened(BARE)
    assert not feed(first, "supply").there and feed(first, "supply").fields == ()
    with pytest.raises(PosekitError, match="current"):
        workbench.edit_all({"supply.voltage": 6.0})
    view = workbench.edit_all({"supply.voltage": 6.0, "supply.current": 10.0})
    assert feed(view, "supply").there and not feed(view, "supply").wired
    view = workbench.edit_all({"supply.wire.length": 1500.0, "supply.wire.area": 1.5})
    assert feed(view, "supply").wired
    assert [each.label for each in feed(view, "supply").fields][-2:] == ["wire length", "wire area"]
    assert workbench.prop.supply is not None and workbench.prop.supply.wire is not None
    view = workbench.edit("supply.wire", None)
    assert not feed(view, "supply").wired
    assert not feed(workbench.edit("supply", None), "supply").there


def test_what_a_drive_does_when_values_stop_is_said_by_it_or_by_the_receiver() -> None:
    workbench, first = opened(arm().text)
    drive = workbench.prop.drives[0].name
    own = f"drives.{drive}.on_loss"
    assert field(first, "receiver.on_loss").unset == "not known"
    assert field(first, own).unset == "as the receiver: not known"
    view = workbench.edit("receiver.on_loss", "hold")
    assert field(view, own).unset == "as the receiver: hold"
    workbench.edit(own, "release")
    assert [workbench.prop.on_loss(each) for each in workbench.prop.drives] == ["release", "hold"]
    with pytest.raises(PosekitError, match="hold"):
        workbench.edit("receiver.on_loss", "wait")


def test_a_prop_of_other_supplies_alone_shows_no_other_and_what_nothing_feeds_is_said() -> None:
    text = f"{BARE}\n[supplies.legs]\nvoltage = 6\ncurrent = 4\n"
    workbench, view = opened(text)
    assert [each.name for each in view.feeds] == ["supply", "legs"]
    drives = [each.name for each in workbench.prop.drives]
    assert field(view, f"drives.{drives[0]}.supply").unset == "nothing feeds it"
    view = workbench.edit_all({f"drives.{name}.supply": "legs" for name in drives})
    assert [each.name for each in view.feeds] == ["legs"]
    assert workbench.prop.supply is None
