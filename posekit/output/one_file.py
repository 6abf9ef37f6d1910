"""One HTML file that holds a figure with all that draws it: no network, nothing beside it. Bytes, never a path.

Its policy lets the one script and the one style sheet run, by their digests, and allows nothing else: the file asks
the network for nothing. It holds no link; one that leads out could be followed, which no policy forbids. Words of
others lie in the packed data, where they are no markup; the few that stand in the page itself are escaped.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from posekit.text import printable


@dataclass(frozen=True, slots=True)
class Drawing:
    """What draws a figure, as the build of the page made it: script, style sheet, licences of both."""

    script: str
    style: str
    licences: str


def encode(
    drawing: Drawing, data: bytes, title: str, facts: Sequence[tuple[str, str]], cautions: Sequence[str]
) -> bytes:
    """The file. Title, facts and cautions are also there where no script may run, as in the preview of a message.

    Raises ValueError for a script or a style sheet that would end before its end.
    """
    if _ends(drawing.script, "script") or _ends(drawing.style, "style"):
        raise ValueError("the script or the style sheet holds its own end tag, and cannot stand in HTML")
    policy = (
        f"default-src 'none'; script-src '{digest(drawing.script)}'; style-src '{digest(drawing.style)}'; "
        "img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
    name = escape(printable(title))
    told = "".join(
        f"<dt>{escape(word)}</dt><dd><bdi>{escape(printable(said))}</bdi></dd>" for word, said in facts
    )
    warned = "".join(f"<li>{escape(line)}</li>" for line in cautions)
    page = f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{escape(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{name}</title>
<style>{drawing.style}</style>
</head>
<body>
<div id="file"><main class="plain"><h1><bdi>{name}</bdi></h1><dl>{told}</dl>
<p>The figure is drawn by a script in this file, which does not run in a preview. Open the file in a browser: save it
first, then open it from there.</p><ul>{warned}</ul></main></div>
<script type="text/plain" id="data">{base64.b64encode(data).decode()}</script>
<template id="licences">{escape(drawing.licences)}</template>
<script>{drawing.script}</script>
</body>
</html>
"""
    return page.encode("utf-8", "replace")


def digest(source: str) -> str:
    """A script or style sheet as a policy names it (CSP Level 3, hash source)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(source.encode()).digest()).decode()


def _ends(source: str, element: str) -> bool:
    # "<!--" puts a script into a state of its own, in which another script element does not end where it seems to.
    return f"</{element}" in source.lower() or "<!--" in source or "\r" in source or "\0" in source
