"""The page on a phone in the workshop's network, and at the machine that lets it look."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Playwright

import posekit
from posekit import serve
from posekit.pipeline import pose_at
from posekit.serve.network import Place
from posekit.serve.phone import Phone, phone
from tests.serve.machines import machines
from tests.web.conftest import CHROMIUM, FLAGS, HERON, KEEP_PICTURES, UNDRAWN, Bench, profile_of

pytestmark = [pytest.mark.page, pytest.mark.timeout(600)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
SHOW = "from posekit.cli import main; main()"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(HERON, tmp_path / "heron"))


@pytest.mark.skipif(sys.platform != "linux", reason="network namespaces are of Linux")
def test_a_phone_looks_at_the_prop_as_it_is_on_disk_and_cannot_save(
    playwright: Playwright, address: str, folder: Path, tmp_path: Path, shot
) -> None:
    """Over plain http from another machine, where browsers leave out much; `address` saw to the build of the page."""
    with machines() as (workshop, hand):
        command = [
            *workshop.enter,
            sys.executable,
            "-u",
            "-c",
            SHOW,
            "show",
            str(folder),
            "--no-open",
            "--phone",
            "--json",
        ]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
            assert running.stdout is not None
            said = ""
            for line in running.stdout:
                said += line
                if line == "}\n":
                    break
            at = json.loads(said)["phone"]["address"]
            wrapper = tmp_path / "chromium"
            wrapper.write_text(f'#!/bin/sh\nexec {" ".join(hand.enter)} {CHROMIUM} "$@"\n')
            wrapper.chmod(0o755)
            flags = FLAGS if KEEP_PICTURES else [*FLAGS, UNDRAWN]
            browser = playwright.chromium.launch(executable_path=wrapper, args=flags)
            try:
                looks(profile_of(browser, PHONE), at, folder, shot)
            finally:
                browser.close()
                running.kill()


def looks(profile: BrowserContext, at: str, folder: Path, shot) -> None:
    page = profile.new_page()
    problems: list[str] = []
    asked: list[str] = []
    page.on("pageerror", lambda problem: problems.append(str(problem)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(at)
    bench = Bench(page, at)
    bench.posed()
    assert page.evaluate("() => [isSecureContext, 'serviceWorker' in navigator]") == [False, False]
    assert all(url.startswith((at, "blob:", "data:")) for url in asked), "all of it below the secret"
    prop = posekit.load(folder)
    bench.stands_as(pose_at(prop, [drive.rest_value for drive in prop.drives]))
    shot(bench, "phone")

    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Here you can look at the folder heron and not save into it").wait_for()
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Share").click()
    dialog = page.get_by_role("dialog", name="Share")
    assert (
        "in the same network, or in one with a way into it, and nowhere else"
        in dialog.locator("p").first.inner_text()
    )
    assert dialog.get_by_role("heading", name="A phone").count() == 0
    dialog.get_by_text("the prop by its name.").wait_for()
    shot(bench, "phone-share")
    page.keyboard.press("Escape")

    # What changes on disk shows there, and nothing of what is done there gets to the disk.
    changed = posekit.edit(prop, "drives.head_turn.pulse.trim", 40)
    (folder / "prop.toml").write_text(changed.text)
    bench.becomes("() => posekit.work().text", changed.text)
    bench.stands_as(pose_at(changed, [drive.rest_value for drive in changed.drives]))
    saves = """() => fetch("folder/save", {
        method: "POST", headers: {"Content-Type": "application/json"}, body: "{}",
    }).then((answer) => answer.status)"""
    assert page.evaluate(saves) == 405
    assert (folder / "prop.toml").read_text() == changed.text
    assert problems == []


@pytest.mark.python("native")
def test_the_machine_that_shows_has_the_address_as_a_code_and_says_who_can_look(
    profile: BrowserContext, address: str, folder: Path, shot
) -> None:
    with (
        serve.site_of(str(folder)) as site,
        phone(site, Place("lo", "127.0.0.1", "127.0.0.0/8")) as at,
        serve.bound(
            site, at_phones={"address": at.address, "network": at.network, "rows": at.rows}
        ) as server,
        serve.in_a_thread(server),
    ):
        page = profile.new_page()
        page.goto(server.entrance)
        bench = Bench(page, server.address)
        bench.posed()
        bench.becomes("document.documentElement.dataset.folder", "followed")
        page.get_by_role("button", name="Share").click()
        dialog = page.get_by_role("dialog", name="Share")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            shows_the_address(dialog, at)
            shot(bench, f"share-phone-{scheme}")


def shows_the_address(dialog: Locator, at: Phone) -> None:
    """In words and as a code, with who can look."""
    code = dialog.get_by_role("img", name="The address as a QR code")
    code.wait_for()
    told = dialog.inner_text()
    assert at.address in told and "127.0.0.0/8" in told and "not encrypted" in told
    size = len(at.rows)
    drawn = code.locator("path").get_attribute("d") or ""
    dots = {tuple(map(int, dot[1:].split("h")[0].split())) for dot in drawn.split("z") if dot}
    assert tuple("".join("1" if (x, y) in dots else "0" for x in range(size)) for y in range(size)) == at.rows
