"""The picture sheet as a document: each look in a row of pictures to one scale, with what there is to tell of it."""

from __future__ import annotations

import base64
from xml.etree import ElementTree as Xml

from posekit.clearance.left_out import summary
from posekit.errors import LEVELS
from posekit.output import paper
from posekit.output.cautions import CAUTIONS
from posekit.output.document import Card, Document, Picture, Words
from posekit.prop.fingerprint import for_people
from posekit.report.pictures import SIDES, Pictured, PictureSheet
from posekit.report.sheet_document import SIGNS, findings_block, mark_of
from posekit.text import exact, plain, printable

SIDE = 100.0  # of a picture, in units of its own
INSET, TEXT, PALE = 4.0, 4.2, "#f4f3ef"


def pictures_html(made: PictureSheet, date: str, paper_size: paper.Paper | None = None) -> bytes:
    """The sheet as one HTML file to print."""
    return paper.encode(_document(made, date), paper_size, mark_of(made.fingerprint, date))


def _document(made: PictureSheet, date: str) -> Document:
    """The sheet as it goes on paper; `date` is that of the day."""
    told = (
        "Under each look stands what its pose gives, parts that strike or come closer than the margin among it. "
        f"{summary(made.pairs, made.left_out)}. The way from one look to another is another question: posekit move.",
    )
    return Document(
        title=f"{made.prop}: picture sheet",
        facts=(
            ("prop fingerprint", for_people(made.fingerprint)),
            ("printed", date),
            ("looks", str(len(made.looks))),
            ("scale", f"one for all pictures; the bar is {_length(made.bar_mm)} long"),
        ),
        blocks=(
            *(_card(made, look) for look in made.looks),
            Words("How to read this sheet", told),
            *findings_block(made.findings),
            Words("Cautions", CAUTIONS, whole=True),
        ),
    )


def _card(made: PictureSheet, look: Pictured) -> Card:
    ordered = sorted(look.findings, key=lambda finding: LEVELS.index(finding.level))
    return Card(
        title=printable(look.name),
        said="",
        pictures=tuple(
            Picture(_svg(made, f"{printable(look.name)} from {side}", png), f"from {side}")
            for (side, _), png in zip(SIDES, look.pictures, strict=True)
        ),
        facts=(),
        watch=tuple(f"{SIGNS[finding.level]}: {finding.sentence}" for finding in ordered)
        or ("Nothing was found in this pose; that is no proof of safety.",),
    )


def _svg(made: PictureSheet, said: str, png: bytes) -> Xml.Element:
    """A picture with the bar of the scale in its lower left corner; `said` is for those who cannot see it."""
    svg = Xml.Element(
        "svg", {"viewBox": f"0 0 {exact(SIDE)} {exact(SIDE)}", "role": "img", "aria-label": said}
    )
    address = f"data:image/png;base64,{base64.b64encode(png).decode()}"
    Xml.SubElement(svg, "image", {"href": address, "width": exact(SIDE), "height": exact(SIDE)})
    end, y = INSET + SIDE * made.bar_mm / made.side_mm, SIDE - INSET
    bar = f"M{exact(INSET)} {exact(y - 1.4)}V{exact(y)}H{end:.3f}V{exact(y - 1.4)}"
    words = {"x": f"{end + 1.2:.3f}", "y": exact(y), "font-size": exact(TEXT), "font-family": "sans-serif"}
    # With a pale rim, so that they show on what is dark, too.
    for colour, width in ((PALE, 2.0), ("#111111", 0.5)):
        line = {"d": bar, "fill": "none", "stroke": colour, "stroke-width": exact(width)}
        Xml.SubElement(svg, "path", line)
    rim = {"stroke": PALE, "stroke-width": "1.5", "stroke-linejoin": "round", "aria-hidden": "true"}
    Xml.SubElement(svg, "text", words | rim).text = _length(made.bar_mm)
    Xml.SubElement(svg, "text", words).text = _length(made.bar_mm)
    return svg


def _length(mm: float) -> str:
    return f"{plain(mm)} mm" if mm < 1000 else f"{plain(mm / 1000)} m"
