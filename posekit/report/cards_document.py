"""Setting cards as a document to print: a card a drive, which no end of a page cuts."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from posekit.clearance.beyond import Beyond
from posekit.clearance.left_out import summary
from posekit.output import markdown, paper
from posekit.output.card_picture import card_picture
from posekit.output.cautions import CAUTIONS
from posekit.output.document import Card, Document, Picture, Words
from posekit.report.cards import Cards, SettingCard
from posekit.report.sheet_document import facts, findings_block, mark_of, number, seconds
from posekit.report.steps import NearestStep
from posekit.text import printable

JUST = 0.05  # deg or mm: nearer than this, what comes first comes at the end point itself
NAMES = ("low", "middle", "high")
ORDER = (1, 0, 2)  # where low, middle and high stand in a view, which begins with the middle


def cards_html(made: Cards, date: str, paper_size: paper.Paper | None = None) -> bytes:
    """The cards as one HTML file to print."""
    return paper.encode(_cards_document(made, date), paper_size, mark_of(made.sheet.fingerprint, date))


def cards_markdown(made: Cards, date: str) -> str:
    """The cards as Markdown text, without their pictures."""
    return markdown.encode(_cards_document(made, date))


def _cards_document(made: Cards, date: str) -> Document:
    """The cards as they go on paper; `date` is that of the day."""
    how = (
        "Set one drive at a time, the others at rest, and turn slowly towards an end. Pictures: pale is the part that "
        "holds the joint, dark what moves; the dashed line is where it stands at the middle value.",
        "What comes first was looked at with that drive alone on its way from the middle value to the end of the "
        "servo's travel, step by step, the others at rest. It is no proof of what lies between two steps or of what "
        f"several drives do together: posekit envelope proves. {summary(made.pairs, made.left_out)}.",
        "Times are those of the servo without load. If half way is passed too early or too late while the whole time "
        "is right, look for a speed that is not even.",
    )
    return Document(
        title=f"{made.sheet.prop}: setting cards",
        facts=facts(made.sheet.fingerprint, date, ("drives", str(len(made.cards)))),
        blocks=(
            *findings_block(made.findings),
            Words("How to use these cards", how),
            *(_card(card) for card in made.cards),
            Words("Cautions", CAUTIONS, whole=True),
        ),
    )


def _card_pictures(card: SettingCard) -> tuple[Element, ...]:
    """The joint at low, middle and high."""
    middle = card.positions[1]
    return tuple(
        card_picture(
            f"{printable(card.joint)} at {_position(card, n)}",
            card.view.stands[i],
            card.view.moves[i],
            card.view.pivot,
            card.view.tips[0],
            card.view.tips[i],
            card.positions[n] - middle if card.unit == "deg" else None,
        )
        for n, i in enumerate(ORDER)
    )


def watch_lines(card: SettingCard) -> tuple[str, ...]:
    """What to watch for while turning towards each end, and which step of the controller is nearest."""
    lines = [_end(end) for end in card.ends]
    touching = dict.fromkeys(pair for end in card.ends for pair in end.touching)
    if touching:
        pairs = ", ".join(f"{printable(a)} and {printable(b)}" for a, b in touching)
        lines.append(f"Not looked at, because they touch at the middle value already: {pairs}.")
    return (*lines, *(_step(step) for step in card.steps))


def _time_facts(card: SettingCard) -> tuple[tuple[str, str], ...]:
    """The times to hold a stopwatch against."""
    times = card.setting.times
    return (
        ("low to high", seconds(times.whole_s)),
        ("half way passed at", seconds(times.half_s)),
        ("low to middle, and stop", seconds(times.middle_s)),
    )


def _card(card: SettingCard) -> Card:
    values = card.setting.values
    pictures = tuple(
        Picture(svg, f"{name}: {_position(card, n)}")
        for n, (name, svg) in enumerate(zip(NAMES, _card_pictures(card), strict=True))
    )
    shown = ", ".join(
        f"{name} is value {value}, {number(pulse)} µs"
        for name, value, pulse in zip(NAMES, (values[0], values[2], values[4]), card.pulses_us, strict=True)
    )
    return Card(
        title=f"{card.output}. {printable(card.drive)}",
        said=f"Joint {printable(card.joint)}, seen from {card.view.seen_from}; {shown}.",
        pictures=pictures,
        facts=_time_facts(card),
        watch=watch_lines(card),
    )


def _position(card: SettingCard, n: int) -> str:
    return f"{number(card.positions[n])} {card.unit}"


def _end(end: Beyond) -> str:
    a, b = printable(end.names[0]), printable(end.names[-1])
    first = {
        "stop": f"the hard stop of {a} comes",
        "part": f"{a} meets {b}",
        "dead point": "the dead point of its linkage comes",
        "travel": "nothing is met before the end of the servo's own travel, which comes",
    }[end.kind]
    where = f"Towards {end.end} ({number(end.position)} {end.unit})"
    looked = f"looked at every {number(end.step, 2)} {end.unit}"
    if end.after > JUST:
        return f"{where}: past the end point {first} after {number(end.after)} {end.unit}; {looked}."
    if end.after < -JUST:
        return f"{where}: careful, {first} {number(-end.after)} {end.unit} before this end point; {looked}."
    return f"{where}: {first} right at this end point; {looked}."


def _step(step: NearestStep) -> str:
    beyond = ", the last of the steps measured: what is wanted lies beyond it" if step.at_edge else ""
    off = "" if step.off is None else f", off by about {100 * step.off:.0f} %"
    return (
        f"{step.setting.capitalize()} {number(step.wanted)} {step.unit}: nearest is step {step.step}{beyond} "
        f"(about {number(step.rate)} {step.unit}, told by {step.law}{off}; measured at "
        f"{', '.join(map(printable, step.of))})."
    )
