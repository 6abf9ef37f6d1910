"""Who answers the page's requests beside the workbench: a class a subject, whose public methods are the requests."""

from __future__ import annotations

from collections.abc import Iterator


def desks() -> Iterator[type]:
    """All desks, in the order of the protocol; each is made with the workbench.

    Each is imported when it comes to it, those first that are asked for first, because a page is ready the sooner.
    """
    from posekit.bridge.survey import Survey

    yield Survey
    from posekit.bridge.hand_desk import HandDesk

    yield HandDesk
    from posekit.bridge.scene_desk import SceneDesk

    yield SceneDesk
    from posekit.bridge.playback import Playback

    yield Playback
    from posekit.bridge.strength_desk import StrengthDesk

    yield StrengthDesk
    from posekit.bridge.loss_desk import LossDesk

    yield LossDesk
    from posekit.bridge.supply_desk import SupplyDesk

    yield SupplyDesk
    from posekit.bridge.drive_desk import DriveDesk

    yield DriveDesk
    from posekit.bridge.linkage_desk import LinkageDesk

    yield LinkageDesk
    from posekit.bridge.search_desk import SearchDesk

    yield SearchDesk
    from posekit.bridge.parts_desk import Parts

    yield Parts
    from posekit.bridge.begin import Begin

    yield Begin
    from posekit.bridge.measuring import Measuring

    yield Measuring
    from posekit.bridge.swinging import Swinging

    yield Swinging
    from posekit.bridge.saving import Saving

    yield Saving
    from posekit.bridge.jointing import Jointing

    yield Jointing
    from posekit.bridge.sheet_desk import SheetDesk

    yield SheetDesk
    from posekit.bridge.note_desk import NoteDesk

    yield NoteDesk
    from posekit.bridge.beside_desk import BesideDesk

    yield BesideDesk
    from posekit.bridge.director_desk import DirectorDesk

    yield DirectorDesk
