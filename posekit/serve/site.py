"""What is served: the folder of the built page, and in front of it the prop of the builder."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import posekit
from posekit.bridge.site_entry import FOLDER, INDEX, site_entry
from posekit.budgets import FOLDER_BYTES
from posekit.errors import PosekitError, error
from posekit.paths import file_inside, read_within
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Prop
from posekit.prop.writer import write_whole

PAGE = Path(posekit.__file__).parent / "page"


@dataclass(frozen=True, slots=True)
class Site:
    """Folders, of which the first that has a file at an address answers for it."""

    folders: tuple[Path, ...]

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
    """The built page, with a prop of the builder's own in front of the demo props, as it is on disk now.

    Raises PosekitError for a model that cannot be read, and where the page was left out.
    """
    if not (page / "index.html").is_file():
        sentence = "was left out when posekit was installed; install it again without POSEKIT_PAGE=skip"
        raise PosekitError([error("no-page", "the page", sentence)])
    if model is None:
        yield Site((page,))
        return
    path = Path(model).resolve()
    with with_prop(
        path.parent.name if path.name == PROP_FILE else path.stem, posekit.load(model), page
    ) as site:
        yield site


@contextmanager
def with_prop(name: str, prop: Prop, page: Path) -> Iterator[Site]:
    """The page with this prop in front of those it has, one of the same name left out."""
    entry, files = site_entry(name, prop)
    demos = json.loads(read_within(page / INDEX, FOLDER_BYTES))
    listed = [asdict(entry), *(demo for demo in demos if demo["name"] != entry.name)]
    # On disk rather than in memory, so that one way to answer serves all files, in parts and to slow readers, too.
    with TemporaryDirectory(prefix="posekit-show-") as front:
        (Path(front) / FOLDER).mkdir()
        for address, content in {**files, INDEX: json.dumps(listed).encode()}.items():
            write_whole(Path(front) / address, content)
        yield Site((Path(front), page))
