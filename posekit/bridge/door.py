"""Requests by name: JSON in, JSON and blocks out; an error comes back as findings, never as a traceback alone."""

from __future__ import annotations

import json
import traceback
from collections.abc import Sequence

from posekit.bridge.wire import Block, decode, encode
from posekit.bridge.workbench import Workbench
from posekit.errors import Finding, PosekitError, error


class Door:
    """The only Python object that the page's worker holds."""

    def __init__(self) -> None:
        self._workbench = Workbench()

    def handle(self, method: str, params: str, blocks: Sequence[bytes] = ()) -> tuple[bool, str, list[Block]]:
        """(True, JSON of the result, its blocks), or (False, JSON of the findings, none).

        A fault of posekit itself comes as the finding `fault` with the traceback as its subject.
        """
        try:
            request = getattr(self._workbench, method)
            return (True, *encode(request(**decode(request, params, blocks))))
        except PosekitError as refused:
            findings: Sequence[Finding] = refused.findings
        except Exception:
            findings = [
                error("fault", traceback.format_exc(), "posekit itself failed here; nothing was lost")
            ]
        return False, json.dumps([finding.as_dict() for finding in findings]), []
