"""A site as files: which props it carries under which names, what of them, and how it is written."""

from __future__ import annotations

import gzip
import io
import json
import re
import shutil
import subprocess
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

import posekit
from posekit.bridge.site_entry import zipped
from posekit.prop import writer
from posekit.serve.headers import HEADERS, TYPES
from posekit.serve.static_site import static_site

pytestmark = pytest.mark.native

OFFLINE = Path(__file__).parents[2] / "web" / "runtime" / "offline.mjs"
STILL = '<picture class="still"><img src="./assets/demo.webp" /></picture>'
PAGE = {
    "index.html": f'<!doctype html><script type="module" src="./assets/a.js"></script>{STILL}',
    "service-worker.js": "1",
    "assets/a.js": "2",
    "assets/occt-import-js-1.js": "3",
    "runtime/p/pyodide.asm.wasm": "4",
    "props/index.json": '[{"name": "demo", "folder": "props/demo-1.zip"}]',
    "offline.json": "{}",
    "made-from.txt": "6",
}


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """A page in small."""
    for path, content in PAGE.items():
        place = tmp_path / "page" / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(content)
    demo = posekit.read({"prop.toml": b'format = 1\nname = "Demo"\n\n[links.post]\nmass = 1.0\n'})
    (tmp_path / "page" / "props" / "demo-1.zip").write_bytes(zipped("demo", demo))
    return tmp_path / "page"


@pytest.fixture
def folder(tmp_path: Path, arm: posekit.Prop) -> Path:
    """A prop as a builder has it on disk, with what is no part of it beside it."""
    (tmp_path / "figures").mkdir()
    writer.save(arm, tmp_path / "figures" / "arm")
    for path in ("originals/whole.stl", "looks/.hidden.csv", "costs.txt"):
        place = tmp_path / "figures" / "arm" / path
        place.parent.mkdir(exist_ok=True)
        place.write_text("private")
    note = {"id": "0" * 32, "made": "2026-11-26T10:00:00Z", "kind": "note", "text": "private"}
    notes = {"posekit_notes": 1, "prop": arm.name, "notes": [note]}
    (tmp_path / "figures" / "arm" / "notes.json").write_text(json.dumps(notes))
    return tmp_path / "figures" / "arm"


def unzipped(files: Mapping[str, bytes]) -> Iterator[bytes]:
    """Each file of a site, and in place of a zip what is in it."""
    for path, content in files.items():
        if path.endswith(".zip"):
            with zipfile.ZipFile(io.BytesIO(content)) as archive:
                yield from map(archive.read, archive.namelist())
        else:
            yield content


def test_props_of_one_name_get_names_of_their_own_and_the_demo_props_are_left_out(
    page: Path, folder: Path
) -> None:
    other = shutil.copytree(folder, folder.parent / "other" / "arm")
    third = shutil.copytree(folder, folder.parent / "arm-2")
    site = static_site([str(folder), str(other), str(third), str(folder / "prop.toml")], page)
    assert [prop.name for prop in site.props] == ["arm", "arm-2", "arm-2-2", "arm-3"]
    entries = json.loads(site.files["props/index.json"])
    assert [entry["name"] for entry in entries] == [prop.name for prop in site.props]
    assert [entry["place"] for entry in entries] == [""] * 4
    assert {entry[key] for entry in entries for key in ("picture", "folder")} <= set(site.files)
    assert not any("demo" in path for path in site.files)


def test_the_still_of_the_demo_prop_goes_where_just_that_one_comes_first(
    page: Path, folder: Path, tmp_path: Path
) -> None:
    with zipfile.ZipFile(page / "props" / "demo-1.zip") as archive:
        archive.extractall(tmp_path)
    demo = tmp_path / "demo"

    def begins_with_it(*models: Path) -> bool:
        return STILL.encode() in static_site([str(model) for model in models], page).files["index.html"]

    assert begins_with_it(demo, folder)
    assert not begins_with_it(folder, demo)
    (demo / "prop.toml").write_text((demo / "prop.toml").read_text() + "\n")
    assert not begins_with_it(demo)


def test_a_site_carries_of_a_prop_what_the_page_opens_and_nothing_else_of_its_folder(
    page: Path, folder: Path, arm: posekit.Prop
) -> None:
    site = static_site([str(folder)], page)
    (prop,) = site.props
    assert set(prop.files) == {"prop.toml", *arm.files}
    assert not any(b"private" in content for content in unzipped(site.files))
    assert not any(str(folder).encode() in content for content in unzipped(site.files))
    with_notes = static_site([str(folder)], page, notes=True)
    assert set(with_notes.props[0].files) - set(prop.files) == {"notes.json"}
    assert sum(b"private" in content for content in unzipped(with_notes.files)) == 1


def test_a_site_says_what_is_not_there_so_that_no_host_sends_the_page_for_it(
    page: Path, folder: Path
) -> None:
    files = static_site([str(folder)], page).files
    said = files["404.html"].decode()
    assert "There is nothing at this address" in said
    # It stands for any address, so nothing in it may lead from where it is, and it needs nothing that a policy forbids.
    assert not re.search(r"<(a|link|script|style|img)\b", said)
    assert "404.html" not in json.loads(files["offline.json"])["files"]
    assert "404.html" in files["HOSTING.md"].decode()


def test_the_list_for_visits_without_a_network_is_that_of_the_build(page: Path, folder: Path) -> None:
    site = static_site([str(folder)], page)
    writer.write_new(
        {path: site.files[path] for path in site.files if path not in ("HOSTING.md", "404.html")},
        page.parent / "out",
    )
    subprocess.run(["node", str(OFFLINE), str(page.parent / "out")], check=True)
    assert json.loads((page.parent / "out" / "offline.json").read_text()) == json.loads(
        site.files["offline.json"]
    )


def test_each_file_lies_there_by_gzip_too_if_that_is_shorter_and_what_the_build_made_goes_along(
    page: Path, folder: Path
) -> None:
    (page / "runtime" / "p" / "pyodide.asm.wasm.br").write_text("by brotli")
    (page / "assets" / "a.js").write_text("let a; " * 1000)
    files = static_site([str(folder)], page).files
    made = {path.removesuffix(".gz") for path in files if path.endswith(".gz")}
    assert {"assets/a.js", "props/index.json"} <= made
    assert "runtime/p/pyodide.asm.wasm" not in made  # one byte
    for path in made:
        assert gzip.decompress(files[f"{path}.gz"]) == files[path]
        assert len(files[f"{path}.gz"]) < len(files[path])
    assert files["runtime/p/pyodide.asm.wasm.br"] == b"by brotli"
    assert not [path for path in json.loads(files["offline.json"])["files"] if path.endswith((".gz", ".br"))]


def test_the_page_of_headers_has_each_of_them_for_every_kind_of_host(page: Path, folder: Path) -> None:
    words = static_site([str(folder)], page).files["HOSTING.md"].decode()
    for name, value in HEADERS.items():
        assert f"| every file | {name} | {value} |" in words
        assert f"  {name}: {value}\n" in words
        assert f'add_header {name} "{value}" always;' in words
        assert f'Header always set {name} "{value}"' in words
    for ending, kind in TYPES.items():
        assert f"| `{ending}` | {kind} |" in words


def test_nothing_is_overwritten_and_a_site_that_cannot_be_written_leaves_nothing(
    page: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = static_site([str(folder)], page)
    with pytest.raises(posekit.PosekitError, match="nothing in it is overwritten"):
        writer.write_new(site.files, folder)
    before = sorted(page.parent.rglob("*"))
    written = 0

    def full(place: Path, content: bytes) -> None:
        nonlocal written
        if (written := written + 1) > 3:
            raise OSError(28, "No space left on device")
        place.write_bytes(content)

    monkeypatch.setattr(writer, "write_whole", full)
    with pytest.raises(posekit.PosekitError, match="No space left"):
        writer.write_new(site.files, page.parent / "out")
    assert sorted(page.parent.rglob("*")) == before


def test_a_site_is_refused_for_no_prop_for_one_that_cannot_be_read_and_without_the_page(
    page: Path, folder: Path, tmp_path: Path
) -> None:
    for models, where, why in (
        ([], page, "names no prop"),
        ([str(folder), str(tmp_path / "none")], page, "none"),
        ([str(folder)], tmp_path / "nowhere", "POSEKIT_PAGE=skip"),
    ):
        with pytest.raises(posekit.PosekitError, match=why):
            static_site(models, where)
