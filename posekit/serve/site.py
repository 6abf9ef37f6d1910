"""What is served: the folder of the built page, and in front of it the prop of the builder."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import posekit
from posekit.bridge.site_entry import FOLDER, INDEX, site_entry
from posekit.budgets import FOLDER_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import file_inside, read_within
from posekit.prop.writer import write_whole
from posekit.serve.followed import Followed
from posekit.serve.still import MARKUP, without_still

PAGE = Path(posekit.__file__).parent / "page"
HELD = 2  # of the prop's states: a page that has read the list may ask for the one before


class Front:
    """The prop of the builder, listed before those of the page, one of the same name left out."""

    def __init__(self, followed: Followed, folder: Path, page: Path) -> None:
        self.followed = followed
        self._folder, self._page = folder, page
        self._shown: Mapping[str, str] | None = None
        self._files: list[set[str]] = []
        self._lock = threading.Lock()
        (folder / FOLDER).mkdir()
        write_whole(folder / MARKUP, without_still(read_within(page / MARKUP, FOLDER_BYTES)))

    def renew(self) -> None:
        """Make entry, picture and zip anew if the prop has changed on disk; those before are left for who asks now."""
        state = self.followed.look()
        with self._lock:
            if state.hashes == self._shown:
                return
            try:
                entry, files = site_entry(self.followed.name, state.prop, self.followed.place)
            except PosekitError:  # of a mesh that cannot be drawn; the page tells it of the prop it has open
                if self._shown is None:
                    raise
                return
            demos = json.loads(read_within(self._page / INDEX, FOLDER_BYTES))
            listed = [asdict(entry), *(demo for demo in demos if demo["name"] != entry.name)]
            for address, content in {**files, INDEX: json.dumps(listed).encode()}.items():
                write_whole(self._folder / address, content)
            self._shown = state.hashes
            self._files = [*self._files, set(files)][-HELD:]
            held = {Path(address).name for each in self._files for address in each} | {Path(INDEX).name}
            for old in (self._folder / FOLDER).iterdir():
                if old.name not in held:
                    old.unlink()


@dataclass(frozen=True, slots=True)
class Site:
    """Folders, of which the first that has a file at an address answers for it, and the builder's prop in front."""

    folders: tuple[Path, ...]
    front: Front | None = None

    def place(self, address: str) -> Path | None:
        """The ordinary file at an address below the root, or None. Nothing outside the folders is one."""
        for folder in self.folders:
            try:
                place = file_inside(folder, address)
                if place.is_file():
                    return place
            except (PosekitError, OSError, ValueError):  # an address that cannot be the path of a file
                continue
        return None


@contextmanager
def site_of(model: str | None, page: Path = PAGE) -> Iterator[Site]:
    """The built page, with a prop of the builder's own in front of the demo props, as it is on disk whenever one asks.

    Raises PosekitError for a model that cannot be read, and where the page was left out.
    """
    must_have_page(page)
    if model is None:
        yield Site((page,))
        return
    followed = Followed(model)
    # On disk rather than in memory, so that one way to answer serves all files, in parts and to slow readers, too.
    with TemporaryDirectory(prefix="posekit-show-") as folder:
        front = Front(followed, Path(folder), page)
        front.renew()
        yield Site((Path(folder), page), front)


def must_have_page(page: Path) -> None:
    """Raises PosekitError where the page was left out."""
    if not (page / "index.html").is_file():
        sentence = "was left out when posekit was installed; install it again without POSEKIT_PAGE=skip"
        raise PosekitError([error("no-page", "the page", sentence)])
