"""The folder that is shown: followed on disk, and written to by the page that has the key, and by no other."""

from __future__ import annotations

import http.client
import json
import os
import shutil
import sys
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

import posekit
from posekit import budgets, serve
from posekit.output.gltf import encode
from posekit.pipeline import rest
from posekit.prop import writer
from posekit.prop.difference import digest
from posekit.serve import followed
from posekit.serve.doors import KEY_HEADER
from posekit.serve.keys import Keys

pytestmark = pytest.mark.native

ROOT = Path(__file__).parents[2]
TRIM = "drives.shoulder.pulse.trim"


@dataclass
class Page:
    """What the page can ask, in order: a browser that came by some address."""

    port: int
    key: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, path: str, body: object = None, **headers: str) -> tuple[int, Any]:
        """Status, and what was answered: of JSON its content."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        sent = body if isinstance(body, bytes) or body is None else json.dumps(body).encode()
        given = {
            "Origin": f"http://127.0.0.1:{self.port}",
            "Content-Type": "application/json",
            KEY_HEADER: self.key,
        }
        # A header that is given as "" is not sent at all.
        all_headers = {name: value for name, value in {**given, **self.headers, **headers}.items() if value}
        connection.request(method, path, body=sent, headers=all_headers)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        told = answer.getheader("Content-Type") == "application/json"
        return answer.status, json.loads(content) if told else content

    def now(self, seen: str = "") -> Any:
        """How the folder stands."""
        status, told = self.ask("GET", f"/folder/now?seen={seen}")
        return told if status == 200 else None

    def difference(self, files: dict[str, Any], known: dict[str, str] | None = None) -> Any:
        """What the files would change, for a page that took the folder as it is now."""
        status, told = self.ask(
            "POST",
            "/folder/difference",
            {"files": files, "known": self.now()["files"] if known is None else known},
        )
        assert status == 200, told
        return told

    def save(self, number: int, *wins: str) -> tuple[int, Any]:
        """Save what was shown."""
        return self.ask("POST", "/folder/save", {"number": number, "wins": list(wins)})


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page in small."""
    page = tmp_path_factory.mktemp("page")
    (page / "props").mkdir()
    (page / "index.html").write_text("<!doctype html>")
    (page / "props" / "index.json").write_text('[{"name": "demo"}]')
    return page


@pytest.fixture
def folder(tmp_path: Path, arm: posekit.Prop) -> Path:
    """The prop folder of a builder, with a look."""
    writer.save(arm, tmp_path / "arm")
    (tmp_path / "arm" / "looks").mkdir()
    (tmp_path / "arm" / "looks" / "up.csv").write_text("universe,address,value\n1,1,200\n")
    return tmp_path / "arm"


@pytest.fixture
def server(folder: Path, small: Path) -> Iterator[serve.Server]:
    with serve.site_of(str(folder), small) as site, serve.running(site) as server:
        yield server


@pytest.fixture
def page(server: serve.Server) -> Page:
    """The page that came by the address which was given out."""
    page = Page(server.port)
    status, told = page.ask("POST", "/folder/enter", {"key": server.entrance.partition("#key=")[2]})
    assert status == 200
    page.key = told["key"]
    return page


def on_disk(folder: Path) -> dict[str, bytes]:
    return {
        place.relative_to(folder).as_posix(): place.read_bytes()
        for place in folder.rglob("*")
        if place.is_file()
    }


def edited(folder: Path, trim: int) -> str:
    return posekit.edit(posekit.load(folder), TRIM, trim).text


# Who may.


def test_the_key_in_the_address_lets_one_page_in_and_is_worth_nothing_afterwards(
    server: serve.Server,
) -> None:
    key = server.entrance.partition("#key=")[2]
    page = Page(server.port)
    assert page.ask("POST", "/folder/enter", {"key": key[:-1]})[0] == 403
    status, told = page.ask("POST", "/folder/enter", {"key": key})
    assert status == 200 and told["key"] != key
    assert page.ask("POST", "/folder/enter", {"key": key})[0] == 403
    for wrong in ("", key, told["key"][:-1], told["key"] + "x", "ü"):
        page.key = wrong.encode().decode("latin1")
        assert page.ask("POST", "/folder/difference", {"files": {}, "known": {}})[0] == 403
    page.key = told["key"]
    assert page.ask("POST", "/folder/difference", {"files": {}, "known": {}})[0] == 200


def test_the_key_of_the_page_opens_nothing_before_someone_has_entered() -> None:
    keys = Keys()
    assert not keys.fits("") and not keys.fits(keys.given)
    assert len({Keys().given for _ in range(20)}) == 20


FOREIGN = {
    "another origin": {"Origin": "http://elsewhere.example"},
    "another port": {"Origin": "http://127.0.0.1:1"},
    "no origin": {"Origin": ""},
    "a sandboxed page": {"Origin": "null"},
    "a secure page": {"Origin": "https://127.0.0.1:{port}"},
    "a form": {"Content-Type": "text/plain"},
    "a form with a file": {"Content-Type": "multipart/form-data; boundary=x"},
    "no kind": {"Content-Type": ""},
    "no key": {KEY_HEADER: ""},
    "another key": {KEY_HEADER: "x" * 43},
}


@pytest.mark.parametrize("what", FOREIGN)
def test_no_page_from_elsewhere_gets_in(page: Page, folder: Path, what: str) -> None:
    before = on_disk(folder)
    number = page.difference({"prop.toml": {"text": edited(folder, 7)}})["number"]
    headers = {name: value.format(port=page.port) for name, value in FOREIGN[what].items()}
    assert page.ask("POST", "/folder/enter", {"key": "x"}, **headers)[0] == 403
    assert page.ask("POST", "/folder/difference", {"files": {}, "known": {}}, **headers)[0] == 403
    assert page.ask("POST", "/folder/save", {"number": number, "wins": []}, **headers)[0] == 403
    assert on_disk(folder) == before
    assert page.save(number)[0] == 200, "the page itself still gets in"


def test_a_name_that_was_pointed_at_this_machine_gets_to_no_door(page: Page) -> None:
    elsewhere = {"Host": f"elsewhere.example:{page.port}", "Origin": f"http://elsewhere.example:{page.port}"}
    assert page.ask("GET", "/folder/now", **elsewhere)[0] == 421
    assert page.ask("POST", "/folder/save", {}, **elsewhere)[0] == 421
    assert page.ask("OPTIONS", "/folder/save")[0] == 405, "no preflight is answered with a yes"


def test_the_key_goes_in_no_file_answer_or_log(
    page: Page, server: serve.Server, capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    given = server.entrance.partition("#key=")[2]
    for path in ("/", "/props/index.json", "/folder/now", "/folder/file/x"):
        content = page.ask("GET", path)[1]
        told = content if isinstance(content, bytes) else json.dumps(content).encode()
        assert given.encode() not in told and page.key.encode() not in told
    said = capfd.readouterr()
    assert given not in said.out + said.err + caplog.text


def test_without_a_prop_of_the_builder_there_is_no_door(small: Path) -> None:
    with serve.site_of(None, small) as site, serve.running(site) as server:
        assert server.entrance == server.address
        assert Page(server.port).ask("GET", "/folder/now")[0] == 404
        assert Page(server.port).ask("POST", "/folder/save", {})[0] == 405


# Saving.


def test_what_was_shown_is_saved_whole_and_the_folder_then_stands_so(page: Page, folder: Path) -> None:
    before = on_disk(folder)
    text, stl = edited(folder, 7), bytes(range(256))
    shown = page.difference(
        {
            "prop.toml": {"text": text},
            "looks/up.csv": None,
            "meshes/a.stl": {"base64": urlsafe_b64encode(stl).decode().rstrip("=")},
        }
    )
    assert [(each["path"], each["kind"], each["meanwhile"]) for each in shown["files"]] == [
        ("prop.toml", "changed", False),
        ("looks/up.csv", "removed", False),
        ("meshes/a.stl", "new", False),
    ]
    assert {line["mark"] for part in shown["files"][0]["parts"] for line in part} == set(" -+")
    assert on_disk(folder) == before, "a difference writes nothing"
    status, told = page.save(shown["number"])
    after = {"prop.toml": text.encode(), "meshes/a.stl": stl}
    assert (status, sorted(told["saved"]), told["left"]) == (
        200,
        ["looks/up.csv", "meshes/a.stl", "prop.toml"],
        [],
    )
    assert on_disk(folder) == after
    assert told["files"] == {path: digest(content) for path, content in after.items()}
    assert page.now(seen=told["state"]) is None
    assert page.save(shown["number"])[0] == 409, "it is saved once"


def test_notes_are_saved_into_the_folder_and_those_that_come_there_are_seen(page: Page, folder: Path) -> None:
    notes = '{"posekit_notes": 1, "notes": []}\n'
    shown = page.difference({"notes.json": {"text": notes}})
    assert [each["path"] for each in shown["files"]] == ["notes.json"]
    assert page.save(shown["number"])[0] == 200
    assert (folder / "notes.json").read_text() == notes
    before = page.now()
    (folder / "notes.json").unlink()
    assert "notes.json" in before["files"] and "notes.json" not in page.now(before["state"])["files"]


def test_a_file_that_changes_between_difference_and_saving_leaves_all_as_they_are(
    page: Page, folder: Path
) -> None:
    shown = page.difference({"prop.toml": {"text": edited(folder, 7)}, "looks/up.csv": None})
    (folder / "looks" / "up.csv").write_text("universe,address,value\n1,1,201\n")
    before = on_disk(folder)
    status, told = page.save(shown["number"], "looks/up.csv")
    assert status == 409
    assert [(finding["code"], finding["file"]) for finding in told["findings"]] == [
        ("changed-on-disk", "looks/up.csv")
    ]
    assert on_disk(folder) == before


def test_a_file_that_changed_since_the_page_took_it_is_replaced_only_where_the_builder_says_so(
    page: Page, folder: Path
) -> None:
    known = page.now()["files"]
    theirs, mine = edited(folder, 30), edited(folder, 7)
    (folder / "prop.toml").write_text(theirs)
    new = {"prop.toml": {"text": mine}, "looks/down.csv": {"text": "universe,address,value\n1,1,0\n"}}
    shown = page.difference(new, known)
    assert {each["path"]: each["meanwhile"] for each in shown["files"]} == {
        "prop.toml": True,
        "looks/down.csv": False,
    }
    status, told = page.save(shown["number"])
    assert (status, told["saved"], told["left"]) == (200, ["looks/down.csv"], ["prop.toml"])
    assert (folder / "prop.toml").read_text() == theirs
    shown = page.difference(new, known)
    assert page.save(shown["number"], "prop.toml")[0] == 200
    assert (folder / "prop.toml").read_text() == mine


def test_another_difference_takes_the_place_of_the_one_before(page: Page, folder: Path) -> None:
    first = page.difference({"prop.toml": {"text": edited(folder, 7)}})
    page.difference({"prop.toml": {"text": edited(folder, 8)}})
    before = on_disk(folder)
    assert page.save(first["number"])[0] == 409
    assert on_disk(folder) == before


REFUSED: dict[str, dict[str, Any]] = {
    "no prop": {"prop.toml": {"text": "format = 1\n"}},
    "no toml": {"prop.toml": {"text": "["}},
    "no prop file at all": {"prop.toml": None},
    "out of the folder": {"../prop.toml": {"text": "x"}},
    "absolute": {"/tmp/x": {"text": "x"}},
    "no file of a prop": {"README.md": {"text": "x"}},
    "a program": {".git/hooks/pre-commit": {"text": "x"}},
    "hidden": {"looks/.up.csv": {"text": "x"}},
    "a device": {"looks/nul": {"text": "x"}},
    "a second spelling": {"looks/./up.csv": {"text": "x"}},
    "in other letters": {"looks/UP.csv": {"text": "x"}},
    "in a file": {"looks/up.csv/x": {"text": "x"}},
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_would_be_no_prop_is_not_written(page: Page, folder: Path, what: str) -> None:
    before = on_disk(folder.parent)
    status, told = page.save(page.difference(REFUSED[what])["number"])
    assert status == 422 and told["findings"]
    assert on_disk(folder.parent) == before


@pytest.mark.skipif(sys.platform == "win32", reason="links of POSIX")
def test_a_link_that_leads_out_of_the_folder_is_written_neither_over_nor_through(
    page: Page, folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside" / "x.csv").write_text("theirs")
    (folder / "shows").symlink_to(tmp_path / "outside")
    (folder / "looks" / "out.csv").symlink_to(tmp_path / "outside" / "x.csv")
    assert any("symbolic link" in finding["text"] for finding in page.now()["findings"])
    for path in ("shows/x.csv", "shows/new.csv", "looks/out.csv"):
        assert page.save(page.difference({path: {"text": "mine"}})["number"], path)[0] in (409, 422)
    assert on_disk(tmp_path / "outside") == {"x.csv": b"theirs"}


@pytest.mark.parametrize(
    "body",
    [
        *(b"", b"{", b"[]", b"\xff", b"[" * 5000, b'{"files": [], "known": {}}'),
        *(
            b'{"files": {"prop.toml": %s}, "known": {}}' % file
            for file in (b"1", b"{}", b'{"base64": "\\u00fc"}', b'{"text": "\\ud800"}', b'{"text": 1}')
        ),
    ],
)
def test_a_body_that_is_none_is_refused(page: Page, body: bytes) -> None:
    assert page.ask("POST", "/folder/difference", body)[0] == 400


@pytest.mark.parametrize("number", [None, "1", 0, -1, 10**9])
def test_a_number_of_no_difference_saves_nothing(page: Page, folder: Path, number: Any) -> None:
    before = on_disk(folder)
    page.difference({"prop.toml": {"text": edited(folder, 7)}})
    assert page.save(number)[0] == 409
    assert on_disk(folder) == before


def test_a_body_beyond_its_budget_is_not_taken(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    assert budgets.SAVE_BYTES > budgets.FOLDER_BYTES * 4 / 3
    monkeypatch.setattr("posekit.serve.doors.SAVE_BYTES", 1000)
    assert page.ask("POST", "/folder/difference", b"{" + b" " * 2000 + b"}")[0] == 413


# Following.


def test_a_change_on_disk_is_told_with_the_next_look_and_its_files_are_given_by_digest(
    page: Page, folder: Path
) -> None:
    before = page.now()
    assert page.now(seen=before["state"]) is None
    text = edited(folder, 30)
    (folder / "prop.toml").write_text(text)
    (folder / "looks" / "new.csv").write_bytes(b"")
    now = page.now(seen=before["state"])
    assert now["files"] == {path: digest(content) for path, content in on_disk(folder).items()}
    assert page.ask("GET", f"/folder/file/{now['files']['prop.toml']}")[1] == text.encode()
    assert page.ask("GET", f"/folder/file/{before['files']['prop.toml']}")[0] == 404
    assert page.ask("GET", "/folder/file/prop.toml")[0] == 404
    (entry, demo) = page.ask("GET", "/props/index.json")[1]
    assert (entry["name"], entry["place"], demo) == ("arm", now["place"], {"name": "demo"})


def test_a_change_of_the_same_size_in_the_same_instant_is_seen(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a file system with a coarse clock, where nothing but the content differs."""
    path = folder / "looks" / "up.csv"
    told = os.stat(path)
    monkeypatch.setattr(followed, "_stamp", lambda place, about: (place, 0, 0, 0, told.st_mtime_ns))
    monkeypatch.setattr("time.time_ns", lambda: told.st_mtime_ns + 10)
    prop = followed.Followed(folder)
    before = prop.look()
    path.write_bytes(path.read_bytes().replace(b"200", b"201"))
    assert prop.look().hashes["looks/up.csv"] != before.hashes["looks/up.csv"]
    monkeypatch.setattr("time.time_ns", lambda: told.st_mtime_ns + int(10 * followed.SETTLED_S * 1e9))
    prop.look()
    monkeypatch.setattr(followed, "files_of", lambda file: pytest.fail("what is settled is not read again"))
    prop.look()


def test_a_wrong_prop_file_is_told_and_the_last_good_one_stays(page: Page, folder: Path) -> None:
    before, good = page.now(), on_disk(folder)
    (folder / "prop.toml").write_text("format = 1\nname = \n")
    now = page.now(seen=before["state"])
    assert now["files"] == before["files"]
    assert [(finding["file"], finding["line"]) for finding in now["findings"]] == [("prop.toml", 2)]
    assert page.ask("GET", f"/folder/file/{now['files']['prop.toml']}")[1] == good["prop.toml"]
    assert page.ask("GET", "/props/index.json")[0] == 200
    # It is not overwritten unless the builder says so.
    shown = page.difference({"prop.toml": {"text": good["prop.toml"].decode()}})
    assert [each["meanwhile"] for each in shown["files"]] == [True]
    assert page.save(shown["number"])[1]["left"] == ["prop.toml"]
    shown = page.difference({"prop.toml": {"text": good["prop.toml"].decode()}})
    assert page.save(shown["number"], "prop.toml")[1]["findings"] == []
    assert on_disk(folder) == good
    shutil.rmtree(folder)
    assert "prop.toml" in page.now()["findings"][0]["text"]


def test_a_look_that_another_is_at_already_is_answered_as_it_was(folder: Path) -> None:
    """So that a disk that hangs is waited for by one, and the others are told what is known."""
    prop = followed.Followed(folder)
    before = prop.look()
    with prop._lock:
        (folder / "prop.toml").write_text(edited(folder, 30))
        assert prop.look() is before
    assert prop.look() is not before


# What is only read.


def test_a_glb_is_followed_and_not_written_to(tmp_path: Path, small: Path, arm: posekit.Prop) -> None:
    file = tmp_path / "arm.glb"
    file.write_bytes(encode(arm, rest(arm)))
    with serve.site_of(str(file), small) as site, serve.running(site) as server:
        page = Page(server.port)
        page.key = page.ask("POST", "/folder/enter", {"key": server.entrance.partition("#key=")[2]})[1]["key"]
        before = page.now()
        assert "one file" in before["read_only"]
        shown = page.difference({"prop.toml": {"text": posekit.edit(arm, TRIM, 7).text}})
        content = file.read_bytes()
        assert page.save(shown["number"])[0] == 422
        assert on_disk(tmp_path) == {"arm.glb": content}
        file.write_bytes(encode(posekit.edit(arm, TRIM, 8), rest(arm)))
        assert page.now(seen=before["state"])["files"] != before["files"]


def test_a_prop_that_came_with_posekit_is_not_written_to(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert followed.Followed(folder).read_only == ""
    monkeypatch.setattr(posekit, "__file__", str(tmp_path / "__init__.py"))
    shown = followed.Followed(folder)
    assert "came with posekit" in shown.read_only
    with pytest.raises(posekit.PosekitError, match="copy the folder"):
        shown.save({}, {})


def test_what_is_wrong_with_a_prop_is_told_by_the_name_that_was_given(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As by every other command, which find it from where they are."""
    monkeypatch.chdir(folder.parent)
    with pytest.raises(posekit.PosekitError, match=f"^{folder.name}/nowhere: cannot be read"):
        followed.Followed(f"{folder.name}/nowhere")
    (folder / "prop.toml").write_text("format = 1\nnaem = 'Arm'\n")
    for name in (folder.name, f"{folder.name}/prop.toml"):
        with pytest.raises(posekit.PosekitError, match=rf"\n{folder.name}/prop\.toml:2: naem: "):
            followed.Followed(name)
