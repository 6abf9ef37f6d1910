"""The doors between the page and the folder: what is on disk, how the work on the page differs from it, and saving.

Anyone who may see the page may look. To ask for a difference and to save takes the key of the page, a request from this
very page (Origin) and a body of JSON. What is saved is what was shown as a difference, over the files that it was
shown against: a file that has changed on disk since is left alone.
"""

from __future__ import annotations

import os
import threading
from base64 import b64decode
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from posekit.bridge.view_of_prop import finding_views
from posekit.budgets import SAVE_BYTES
from posekit.errors import PosekitError, error
from posekit.prop.difference import differences, digest
from posekit.serve.followed import Followed, State
from posekit.serve.headers import FOREVER
from posekit.serve.keys import Keys
from posekit.textfile import json_value

OWN_NAMES = ("127.0.0.1", "localhost")
KEY_HEADER = "Posekit-Key"
CHANGED = "changed-on-disk"
Told = Mapping[str, Any]  # what is told as JSON


@dataclass(frozen=True, slots=True)
class Shown:
    """A difference that was shown, which can be saved: new files, and the digests of those on disk then.

    `meanwhile` are the files that had changed on disk since the page took them.
    """

    number: int
    files: Mapping[str, bytes | None]
    over: Mapping[str, str | None]
    meanwhile: frozenset[str]


class Doors:
    """The doors to one followed prop."""

    def __init__(self, followed: Followed, keys: Keys, at_phones: Told | None = None) -> None:
        self._followed, self._keys, self._at_phones = followed, keys, at_phones
        self._shown: Shown | None = None
        self._count = 0
        self._lock = threading.Lock()

    def routes(self) -> list[Route]:
        """Each door with its address."""
        return [
            *self.to_look(),
            Route("/folder/phone", self._phone, methods=["GET"]),
            Route("/folder/enter", self._asked(self._enter, with_key=False), methods=["POST"]),
            Route("/folder/difference", self._asked(self._difference), methods=["POST"]),
            Route("/folder/save", self._asked(self._save), methods=["POST"]),
        ]

    def to_look(self) -> list[Route]:
        """Those that change nothing, and tell nothing of where the folder is."""
        return [
            Route("/folder/now", self._now, methods=["GET"]),
            Route("/folder/file/{name}", self._file, methods=["GET"]),
        ]

    def _phone(self, request: Request) -> Response:
        """Where a phone finds the page, for the page that may save; nothing for others, and where no phone may look."""
        if self._at_phones is None or not self._keys.fits(request.headers.get(KEY_HEADER, "")):
            return Response(status_code=204)
        return JSONResponse(dict(self._at_phones))

    def _now(self, request: Request) -> Response:
        """How the prop stands on disk; nothing where that is what the page has `seen`."""
        state = self._followed.look()
        if request.query_params.get("seen") == state.name:
            return Response(status_code=204)
        told = self._told(state, self._keys.fits(request.headers.get(KEY_HEADER, "")))
        return JSONResponse({**told, "findings": [self._without_place(each) for each in told["findings"]]})

    def _without_place(self, finding: dict[str, Any]) -> dict[str, Any]:
        """A finding without the path to the folder: it names the builder, and is nobody else's business."""
        where = f"{self._followed.folder}{os.sep}"
        return {
            name: said.replace(where, "") if isinstance(said, str) else said for name, said in finding.items()
        }

    def _file(self, request: Request) -> Response:
        """A file of the prop by its digest: as long as it is there under that name, it is the same."""
        state = self._followed.look()
        wanted = request.path_params["name"]
        for path, name in state.hashes.items():
            if name == wanted:
                kind = "application/octet-stream"
                return Response(state.files[path], media_type=kind, headers={"Cache-Control": FOREVER})
        raise HTTPException(404, "There is no such file.")

    def _enter(self, given: Mapping[str, Any]) -> dict[str, Any]:
        key = self._keys.enter(_text(given, "key"))
        if key is None:
            raise HTTPException(403, "This address was used already, or is of another run of posekit show.")
        return {"key": key}

    def _difference(self, given: Mapping[str, Any]) -> dict[str, Any]:
        files, known = _files(_table(given, "files")), _table(given, "known")
        state = self._followed.look()
        disk = state.files if state.disk is None else state.disk
        found = differences(disk, files)
        over = {each.path: digest(disk[each.path]) if each.path in disk else None for each in found}
        meanwhile = frozenset(path for path in over if known.get(path) != over[path])
        with self._lock:
            self._count += 1
            number = self._count
            self._shown = Shown(number, {path: files[path] for path in over}, over, meanwhile)
        return {
            "number": number,
            "where": str(self._followed.folder),
            "files": [{**asdict(each), "meanwhile": each.path in meanwhile} for each in found],
        }

    def _save(self, given: Mapping[str, Any]) -> dict[str, Any]:
        with self._lock:
            shown, self._shown = self._shown, None
        if shown is None or shown.number != given.get("number"):
            sentence = "another difference was shown since; look at this one again. Nothing was written"
            raise PosekitError([error(CHANGED, "", sentence)])
        wins = given.get("wins")
        left = shown.meanwhile - set(wins if isinstance(wins, list) else ())
        saved = {path: content for path, content in shown.files.items() if path not in left}
        over = {path: shown.over[path] for path in saved}
        state = self._followed.save(saved, over) if saved else self._followed.look()
        return {**self._told(state), "saved": list(saved), "left": sorted(left)}

    def _told(self, state: State, may_save: bool = True) -> dict[str, Any]:
        followed = self._followed
        return {
            "state": state.name,
            "place": followed.place,
            "name": followed.name,
            "title": state.prop.name,
            "read_only": followed.read_only,
            "may_save": may_save and not followed.read_only,
            "files": state.hashes,
            "findings": [asdict(view) for view in finding_views(state.prop, state.findings)],
        }

    def _asked(
        self, answer: Callable[[Mapping[str, Any]], dict[str, Any]], with_key: bool = True
    ) -> Callable[[Request], Any]:
        """A door that answers a body of JSON, from this page alone, and where it says so, with its key."""

        async def asked(request: Request) -> Response:
            if not _is_from_here(request):
                raise HTTPException(403, "Only the page that posekit show opened may ask for this.")
            if with_key and not self._keys.fits(request.headers.get(KEY_HEADER, "")):
                raise HTTPException(
                    403, "This page may look only: posekit show gave its address to another one."
                )
            content = await _body(request)
            try:
                return JSONResponse(await run_in_threadpool(lambda: answer(_given(content))))
            except PosekitError as problem:
                views = finding_views(self._followed.look().prop, problem.findings)
                status = 409 if any(finding.code == CHANGED for finding in problem.findings) else 422
                return JSONResponse({"findings": [asdict(view) for view in views]}, status)

        return asked


def _is_from_here(request: Request) -> bool:
    """Whether a page of this very server asks, and asks as only a page of the same origin can without being refused."""
    server = request.scope.get("server")
    port = server[1] if server else None
    own = {f"http://{name}:{port}" for name in OWN_NAMES} | (
        {f"http://{name}" for name in OWN_NAMES if port == 80}
    )
    kind = request.headers.get("Content-Type", "").partition(";")[0].strip().lower()
    return request.headers.get("Origin") in own and kind == "application/json"


async def _body(request: Request) -> bytes:
    """All of what is sent, within its budget."""
    parts: list[bytes] = []
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > SAVE_BYTES:
            raise HTTPException(413, "This is more than a prop with all its files can be.")
        parts.append(part)
    return b"".join(parts)


def _given(content: bytes) -> Mapping[str, Any]:
    try:
        found = json_value(content)
    except (ValueError, RecursionError) as problem:
        raise HTTPException(400, "This is no JSON that posekit reads.") from problem
    if not isinstance(found, dict):
        raise HTTPException(400, "A table was due.")
    return found


def _text(given: Mapping[str, Any], key: str) -> str:
    found = given.get(key)
    if not isinstance(found, str):
        raise HTTPException(400, f"{key} should be text.")
    return found


def _table(given: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    found = given.get(key)
    if not isinstance(found, dict):
        raise HTTPException(400, f"{key} should be a table.")
    return found


def _files(given: Mapping[str, Any]) -> dict[str, bytes | None]:
    """Files as the page writes them, as text or as base64 of their bytes (RFC 4648, section 5); null for none."""
    files: dict[str, bytes | None] = {}
    for path, content in given.items():
        try:
            if content is None:
                files[path] = None
            elif "text" in content:
                files[path] = content["text"].encode()
            else:
                files[path] = b64decode(content["base64"] + "==", altchars=b"-_", validate=True)
        except (TypeError, KeyError, AttributeError, ValueError) as problem:
            raise HTTPException(400, "A file should have text or base64.") from problem
    return files
