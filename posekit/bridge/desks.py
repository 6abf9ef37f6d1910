"""Who answers the page's requests beside the workbench: a class a subject, whose public methods are the requests."""

from __future__ import annotations


def desks() -> tuple[type, ...]:
    """All desks, in the order of the protocol; each is made with the workbench.

    Imported with the first request for one of them, because a page is ready the sooner.
    """
    from posekit.bridge.begin import Begin
    from posekit.bridge.drive_desk import DriveDesk
    from posekit.bridge.jointing import Jointing
    from posekit.bridge.linkage_desk import LinkageDesk
    from posekit.bridge.measuring import Measuring
    from posekit.bridge.parts_desk import Parts
    from posekit.bridge.playback import Playback
    from posekit.bridge.saving import Saving
    from posekit.bridge.search_desk import SearchDesk
    from posekit.bridge.sheet_desk import SheetDesk
    from posekit.bridge.survey import Survey
    from posekit.bridge.swinging import Swinging

    return (
        Playback,
        Survey,
        DriveDesk,
        LinkageDesk,
        SearchDesk,
        Parts,
        Begin,
        Measuring,
        Swinging,
        Saving,
        Jointing,
        SheetDesk,
    )
