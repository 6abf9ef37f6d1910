"""A link that was cut short or changed on its way is told as such, and opens as nothing else."""

from __future__ import annotations

import json
import zlib
from base64 import urlsafe_b64encode
from typing import Any

import pytest

from tests.conftest import ROOT
from tests.web.in_node import needs_node, told_by

pytestmark = [pytest.mark.native, needs_node]

HERON = (ROOT / "models" / "heron" / "prop.toml").read_text()[:600]
SHARED = {
    "prop": "heron",
    "over": True,
    "files": {"prop.toml": {"text": HERON}},
    "values": {"head_turn": 200},
    "of": "0123456789ab",
}
# What a script tells of a link, and of links made of its letters: what is in them, or null where that is refused.
OPENED = """
const written = loaded("work/written", {});
const BUDGETS = { LINK_LETTERS: 1e6, INFLATED_BYTES: 1e7 };
const { link, unlink } = loaded("work/links", { "../engine/protocol": { BUDGETS }, "./written": written });
const plain = (files) => Object.fromEntries(Object.entries(files).map(([path, data]) => [path, written.written(data)]));
async function opened(letters) {
  const shared = await unlink(`#pose=${letters}`).catch(() => null);
  return shared && { ...shared, files: plain(shared.files) };
}
"""


def opened(change: str, given: object = None) -> Any:
    """What is in the links that some JavaScript makes of the `letters` of one for SHARED."""
    making = f"""(async () => {{
        const files = {{ "prop.toml": new TextEncoder().encode({json.dumps(HERON)}) }};
        const whole = await link({{ ...{json.dumps(SHARED)}, files }}, "http://page/");
        const letters = whole.split("#pose=")[1];
        tell(await Promise.all(({change}).map(opened)));
    }})();"""
    return told_by(OPENED + making, given)


def test_a_link_opens_as_what_was_shared() -> None:
    assert opened("[letters]") == [SHARED]


def test_a_link_with_one_letter_changed_opens_as_what_was_shared_or_as_nothing() -> None:
    """Some bits of a link mean nothing, as those that say how hard it was packed."""
    other = "letters.slice(0, at) + (letter === 'A' ? 'B' : 'A') + letters.slice(at + 1)"
    found = opened(f"[...letters].map((letter, at) => {other})")
    assert [each for each in found if each not in (None, SHARED)] == []
    assert found.count(None) > 0.9 * len(found)


def test_a_link_cut_anywhere_opens_as_nothing() -> None:
    assert {json.dumps(each) for each in opened("[...letters].map((_, at) => letters.slice(0, at))")} == {
        "null"
    }


def test_signs_that_a_mail_program_took_into_a_link_do_no_harm() -> None:
    ends = [".", ",", ")", ">", ">.", "%3E", "%20", "…", "&gt;", "\n"]
    assert opened("given.map((end) => letters + end)", ends) == [SHARED] * len(ends)


def test_links_made_earlier_without_checksum_and_fingerprint_still_open() -> None:
    earlier = {key: value for key, value in SHARED.items() if key != "of"}
    pack = zlib.compressobj(wbits=-15)
    packed = pack.compress(json.dumps(earlier).encode()) + pack.flush()
    assert opened("[given]", urlsafe_b64encode(packed).decode().rstrip("=")) == [{**earlier, "of": ""}]
