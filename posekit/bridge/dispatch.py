"""Requests by name: JSON in, JSON and blocks out; what cannot be done comes back as findings."""

from __future__ import annotations

import json
import traceback
from collections.abc import Sequence
from dataclasses import asdict
from itertools import islice

from posekit.bridge.desks import desks
from posekit.bridge.view_of_prop import finding_view
from posekit.bridge.wire import Block, decode, encode
from posekit.bridge.workbench import Workbench
from posekit.errors import Finding, PosekitError, error


class Dispatcher:
    """The only Python object that the page's worker holds."""

    def __init__(self) -> None:
        self._workbench = Workbench()
        self._others: list[object] = []

    def handle(self, method: str, params: str, blocks: Sequence[bytes] = ()) -> tuple[str, str, list[Block]]:
        """("done", JSON of the result, its blocks), ("refused", JSON of the findings, []) or ("missing", name, []).

        `missing` names a module that has to be fetched before the request can be made again. A fault of
        posekit itself comes as the finding `fault` with the traceback as its subject.
        """
        try:
            request = getattr(self._desk(method), method)
            return ("done", *encode(request(**decode(request, params, [bytes(block) for block in blocks]))))
        except PosekitError as refused:
            findings: Sequence[Finding] = refused.findings
        except ModuleNotFoundError as missing:
            return "missing", missing.name or "", []
        except Exception:
            findings = [
                error("fault", traceback.format_exc(), "posekit itself failed here; nothing was lost")
            ]
        return "refused", json.dumps([asdict(finding_view(finding)) for finding in findings]), []

    def _desk(self, method: str) -> object:
        """Who answers a request: the workbench, or one of those that are not needed for a first pose."""
        for desk in (self._workbench, *self._others):
            if hasattr(desk, method):
                return desk
        for kind in islice(desks(), len(self._others), None):
            self._others.append(kind(self._workbench))
            if hasattr(kind, method):
                return self._others[-1]
        return self._workbench
