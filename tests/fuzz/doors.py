"""Every door through which something of others comes in, and what it must do with whatever that is.

A door answers, or refuses with PosekitError (the command line: with status 2 and a sentence). Nothing else.
"""

from __future__ import annotations

import csv
import io
import json
import random
import shlex
import sys
import tempfile
import textwrap
import unicodedata
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, replace
from functools import cache, partial
from multiprocessing import set_forkserver_preload
from pathlib import Path

import numpy as np

import posekit
from posekit import budgets
from posekit.authoring.mesh_kept import Wishes
from posekit.authoring.new import prop_of
from posekit.cli.apart import FellError, apart
from posekit.cli.verdict_folder import VerdictFolder
from posekit.errors import PosekitError, error
from posekit.exchange.collada import collada_surfaces
from posekit.exchange.colour_files import ColourFiles
from posekit.exchange.colour_files import among as colours_among
from posekit.exchange.colour_files import on_disk as colours_on_disk
from posekit.exchange.parts import parts_of
from posekit.exchange.step import as_glb, step_parts
from posekit.exchange.urdf.assembly import urdf_assembly
from posekit.exchange.urdf.lookup import among
from posekit.output.gltf import encode
from posekit.prop.notes import kept_notes, notes_json, read_notes, with_notes
from posekit.report.figures import figures_csv
from posekit.report.loss import loss_report
from posekit.report.measured import compare
from posekit.report.power import power_steps
from posekit.report.sheet import sheet as sheet_of
from posekit.report.steps import nearest_steps, read_steps
from posekit.stepwise import finished

from .mutate import ODD, mutated, revalued

ROOT = Path(__file__).parents[2]
CASES = ROOT / "tests" / "cases"
HERON = ROOT / "models" / "heron"

Maker = Callable[[random.Random, Sequence[bytes]], bytes]


@dataclass(frozen=True)
class Door:
    """`seeds` are good input, `make` what goes wrong with it, `enter` what posekit does with the result."""

    seeds: Callable[[], Sequence[bytes]]
    make: Maker
    enter: Callable[[bytes], object]


def outcome(door: Door, content: bytes) -> str:
    """`answered` or `refused`. Raises whatever else happens, and AssertionError for a refusal no one can read."""
    try:
        door.enter(content)
    except PosekitError as refused:
        readable(refused)
        return "refused"
    return "answered"


def readable(refused: PosekitError) -> None:
    """A refusal says something, within its bounds, in letters that are safe for a terminal."""
    said = str(refused)
    assert said.strip(), "says nothing"
    assert len(refused.findings) <= budgets.FINDINGS_TOLD + 1
    assert all(len(finding.message) <= budgets.TOLD_LETTERS + 50 for finding in refused.findings)
    assert not unsafe(said), "has letters a terminal acts on"


def unsafe(said: str) -> bool:
    """Whether lines of text hold what a terminal acts on: control characters, or marks that turn letters round.

    By the general category and the bidirectional class of each letter (Unicode Standard Annex 9).
    """
    return any(
        unicodedata.category(letter) in ("Cc", "Cs")
        or unicodedata.bidirectional(letter)
        in ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")
        for letter in set(said) - {"\n"}
    )


# The prop file.


@cache
def props() -> Sequence[bytes]:
    """Valid prop files without files beside them."""
    return [file.read_bytes() for file in sorted((CASES / "valid").glob("*.toml"))]


def use(files: dict[str, bytes]) -> None:
    """All of the flow, so that a prop that loads is one that works, with numbers all along."""
    prop = posekit.read(files)
    state = posekit.pose(prop, posekit.Snapshot({}))
    posekit.check(prop)
    assert all(np.isfinite(frame).all() for frame in state.links.values())
    if len(prop.links) <= 12:
        distances = posekit.clearance.distances(prop, state.positions(prop))
        assert not np.isnan(distances).any()


def enter_prop(content: bytes) -> None:
    """Read, pose, check and measure a prop file."""
    use({"prop.toml": content})


def enter_strength(content: bytes) -> None:
    """Tell of strength, supply and lost signal all that takes no search, every number of it one that JSON has."""
    prop = posekit.read({"prop.toml": content})
    rest = [drive.rest_value for drive in prop.drives]
    told = [finished(power_steps(prop, stop=lambda: True)), loss_report(prop, rest, stop=lambda: True)]
    for report in told:
        json.dumps(report.as_dict(), allow_nan=False)


# Meshes, and pieces that cover them.

SCAN = """
format = 1
name = "Scan"
[links.body]
[[links.body.shapes]]
mesh = "meshes/{name}"
{pieces}
[links.base]
[[links.base.shapes]]
box = [10, 10, 10]
at = [0, 0, -200]
[joints.neck]
type = "revolute"
parent = "base"
child = "body"
"""


@cache
def meshes() -> Sequence[bytes]:
    """Small meshes of each kind, the kind as the first line."""
    import trimesh

    box = trimesh.creation.box((20.0, 10.0, 30.0)).subdivide()
    box.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1, 2, 3)))
    pin = trimesh.creation.cylinder(4.0, 25.0, sections=12)
    found = []
    for mesh in (box, pin):
        for kind in ("stl", "obj", "ply", "glb"):
            data = mesh.export(file_type=kind)
            found.append(kind.encode() + b"\n" + (data.encode() if isinstance(data, str) else data))
        text = mesh.export(file_type="stl_ascii")
        found.append(b"stl\n" + (text.encode() if isinstance(text, str) else text))
    found.append(b"ply\n" + pin.export(file_type="ply", encoding="ascii"))
    return found


def make_mesh(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A mesh gone wrong behind its kind; sometimes under the name of another."""
    kind, _, _ = rng.choice(seeds).partition(b"\n")
    of_kind = [seed.partition(b"\n")[2] for seed in seeds if seed.startswith(kind + b"\n")]
    if rng.random() < 0.05:
        kind = rng.choice((b"stl", b"obj", b"ply", b"glb"))
    return kind + b"\n" + mutated(rng, of_kind)


def enter_mesh(content: bytes) -> None:
    """A prop of this mesh, all the way to its picture."""
    kind, _, data = content.partition(b"\n")
    name = f"body.{kind.decode()}"
    prop = posekit.read({"prop.toml": SCAN.format(name=name, pieces="").encode(), f"meshes/{name}": data})
    state = posekit.pose(prop, posekit.Snapshot({}))
    posekit.check(prop)
    assert not np.isnan(posekit.clearance.distances(prop, state.positions(prop))).any()
    encode(prop, state)


@cache
def pieces() -> Sequence[bytes]:
    """Pieces that cover the first mesh: in one, and in two that share a face; and some of the demo prop."""
    import trimesh

    corners = trimesh.load(io.BytesIO(_stl()), file_type="stl").convex_hull.vertices.tolist()
    halves = [corners, corners[: len(corners) // 2 + 2]]
    covering = [
        json.dumps({"format": 1, "skin": 0.05, "pieces": hulls}).encode() for hulls in ([corners], halves)
    ]
    return [*covering, *(file.read_bytes() for file in sorted((HERON / "pieces").glob("*"))[:1])]


def _stl() -> bytes:
    return next(seed for seed in meshes() if seed.startswith(b"stl\n")).partition(b"\n")[2]


def enter_pieces(content: bytes) -> None:
    """A mesh with this file of pieces."""
    text = SCAN.format(name="body.stl", pieces='pieces = "pieces/body.json"')
    use({"prop.toml": text.encode(), "meshes/body.stl": _stl(), "pieces/body.json": content})


# Values.


@cache
def snapshots() -> Sequence[bytes]:
    """A snapshot in each form, the form as the first line."""
    looks = [b"csv\n" + file.read_bytes() for file in sorted((HERON / "looks").glob("*.csv"))[:3]]
    return [
        *looks,
        b'json\n{"1": {"9": 128, "10": 255}, "2": {"1": 0}}',
        b"bin\n" + bytes(range(256)) * 2,
        b"txt\n1/9@128, 1/10@50%, 2/1@0",
        b"typed\n1/9@128, 1/10@50%, 1/11@255",
    ]


def make_kind(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Content gone wrong behind a first line that says its kind."""
    kind, _, data = rng.choice(seeds).partition(b"\n")
    return kind + b"\n" + mutated(rng, [data])


# Sheets that come back from the bench.


@cache
def _wired() -> posekit.Prop:
    return posekit.read({"prop.toml": (CASES / "valid" / "arm.toml").read_bytes()})


@cache
def filled_sheets() -> Sequence[bytes]:
    """A sheet with something measured on it, as spreadsheets of two countries save it."""
    text = figures_csv(sheet_of(_wired())).decode("utf-8-sig")
    found = []
    for delimiter in ",;":
        out = io.StringIO()
        writer = csv.writer(out, delimiter=delimiter)
        for number, row in enumerate(csv.reader(io.StringIO(text, newline=""))):
            writer.writerow([*row[:6], *((str(7 * number), "x") if number else row[6:8]), row[8]])
        found.append(out.getvalue().encode())
    return found


@cache
def timed_steps() -> Sequence[bytes]:
    """Times at some steps of a controller."""
    drive = _wired().drives[0].name
    rows = f"{drive},speed,1,3\n{drive},speed,9,1.2\n{drive},acceleration,2,4\n"
    return [f"drive,setting,step,seconds\n{rows}".encode()]


def enter_filled_sheet(content: bytes) -> None:
    """Compare it with the prop."""
    found = compare(_wired(), content, "sheet.csv")
    json.dumps(found.as_dict(), allow_nan=False)


def enter_steps(content: bytes) -> None:
    """Take it for times at steps."""
    nearest_steps(_wired(), read_steps(content, "steps.csv"))


# Notes of a director.


@cache
def notes() -> Sequence[bytes]:
    """Notes to a look, a show and a part, as a file, as text of a message, and as they are kept."""
    shared = {"made": "2026-11-26T10:00:00Z", "by": "Ann", "text": "a little lower"}
    of_look = {"id": "1a" * 16, "kind": "change", "look": "alert", "part": "head", "point_mm": [1, 2.5, -3]}
    of_show = {"id": "2b" * 16, "kind": "approved", "show": "hour", "time_s": 12.4}
    entries = [{**shared, **of_look}, {**shared, **of_show, "point_mm": None}]
    top = {"posekit_notes": 1, "prop": "Marsh heron", "fingerprint": "0f" * 32, "file_made": "2026-11-26"}
    written = json.dumps({**top, "notes": entries})
    broken = "\n> ".join(textwrap.wrap(f"posekit notes {written}", 100, break_on_hyphens=False))
    kept = notes_json(
        replace(note, done="2026-11-27T08:00:00+00:00", answer="done")
        for note in read_notes(written.encode())
    )
    return [written.encode(), f"Hello\n\nposekit notes {written}\n".encode(), f"> {broken}".encode(), kept]


def make_notes(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Notes gone wrong, in their letters or in one of their values."""
    if rng.random() < 0.5:
        return mutated(rng, seeds)
    table = json.loads(rng.choice([seed for seed in seeds if seed.startswith(b"{")]))
    note = rng.choice(table["notes"])
    for holder in rng.choices((table, note), (1, 3), k=rng.choice((1, 1, 2, 4))):
        values = [
            *note.values(),
            *table.values(),
            -1.5,
            1e300,
            True,
            None,
            [],
            {},
            "\ud800",
            "\u202e",
            "x" * 20_000,
        ]
        holder[rng.choice([*note, "time_s", "done", "show", "odd"])] = rng.choice(values)
    try:
        return json.dumps(table, ensure_ascii=rng.random() < 0.5).encode(errors="replace")
    except ValueError:  # a table that holds itself
        return mutated(rng, seeds)


def enter_notes(content: bytes) -> None:
    """Read them; what is taken is given back the same by what keeps it."""
    found = read_notes(content, "notes.json")
    assert read_notes(notes_json(found), "notes.json") == found
    assert kept_notes(with_notes(_wired(), found)) == found


def enter_snapshot(content: bytes) -> None:
    """A look of the heron in this form."""
    kind, _, data = content.partition(b"\n")
    if kind == b"typed":
        snapshot = posekit.Snapshot.parse(data.decode(errors="replace"))
    else:
        snapshot = posekit.Snapshot.decode(data, f".{kind.decode()}", f"look.{kind.decode()}")
    posekit.pose(_heron(), snapshot)


@cache
def _heron() -> posekit.Prop:
    return posekit.load(HERON)


@cache
def shows() -> Sequence[bytes]:
    """Cue lists and a recorded stream, the kind as the first line."""
    cues = [b"toml\n" + file.read_bytes() for file in sorted((HERON / "shows").glob("*.toml"))]
    rows = "".join(f"{t / 25},1,{a},{(t * a) % 256}\n" for t in range(60) for a in range(1, 9))
    return [*cues, f"csv\ntime,universe,address,value\n{rows}".encode()]


def make_show(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A show gone wrong, in its text or in one of its values."""
    kind, _, data = rng.choice(seeds).partition(b"\n")
    if kind == b"toml" and rng.random() < 0.5:
        return kind + b"\n" + revalued(rng, [data])
    return kind + b"\n" + mutated(rng, [data])


def enter_show(content: bytes) -> None:
    """A show of the heron."""
    kind, _, data = content.partition(b"\n")
    show = posekit.stream.read_show(_heron(), data, f"walk.{kind.decode()}")
    assert len(show.times) <= budgets.FRAMES
    assert np.isfinite(show.times).all()


@cache
def captures() -> Sequence[bytes]:
    """Captures of streaming ACN on one universe, with sequence numbers that rise, as pcap and pcapng."""
    import dpkt

    packets = [
        _packet(sequence, bytes((sequence * 3 + slot) % 256 for slot in range(512))) for sequence in range(40)
    ]
    found = []
    for kind, writer in (
        (b"pcap", dpkt.pcap.Writer),
        (b"cap", dpkt.pcap.Writer),
        (b"pcapng", dpkt.pcapng.Writer),
    ):
        held = io.BytesIO()
        to = writer(held)
        for number, octets in enumerate(packets):
            to.writepkt(octets, ts=1000.0 + number / 40)
        found.append(kind + b"\n" + held.getvalue())
    return found


def _packet(sequence: int, slots: bytes) -> bytes:
    """An Ethernet frame with a data packet of universe 1, laid out as ANSI E1.31-2018, table 4-1."""
    import dpkt

    property_values = b"\x00" + slots
    dmp = b"\x02\xa1\x00\x00\x00\x01" + len(property_values).to_bytes(2, "big") + property_values
    dmp = (0x7000 | len(dmp) + 2).to_bytes(2, "big") + dmp
    framing = (
        b"\x00\x00\x00\x02" + b"fuzz".ljust(64, b"\0") + bytes((100, 0, 0, sequence % 256, 0, 0, 1)) + dmp
    )
    framing = (0x7000 | len(framing) + 2).to_bytes(2, "big") + framing
    root = b"\x00\x00\x00\x04" + bytes(range(16, 32)) + framing
    root = (0x7000 | len(root) + 2).to_bytes(2, "big") + root
    e131 = b"\x00\x10\x00\x00" + b"ASC-E1.17\0\0\0" + root
    udp = dpkt.udp.UDP(sport=5568, dport=5568, data=e131, ulen=8 + len(e131))
    ip = dpkt.ip.IP(src=b"\x0a\x00\x00\x01", dst=b"\xef\xff\x00\x01", p=17, data=udp, len=20 + udp.ulen)
    return bytes(dpkt.ethernet.Ethernet(src=b"\x02" * 6, dst=b"\x01" * 6, data=ip))


def enter_capture(content: bytes) -> None:
    """A capture as a show of the heron."""
    kind, _, data = content.partition(b"\n")
    posekit.stream.read_show(_heron(), data, f"walk.{kind.decode()}")


# Robots of others.

ROBOTS = ROOT / "tests" / "exchange"
ARM = b"solid arm\nfacet\nouter loop\nvertex 0 0 5\nvertex 9 0 5\nvertex 0 9 5\nendloop\nendfacet\nendsolid arm\n"


@cache
def urdfs() -> Sequence[bytes]:
    """A URDF with every shape and kind of joint."""
    return [(ROBOTS / "lantern.urdf").read_bytes()]


def enter_urdf(content: bytes) -> None:
    """A URDF beside its mesh, as a figure that poses. What is taken as a URDF makes a prop."""
    figure = urdf_assembly(content, "robot.urdf", among({"meshes/arm.stl": ARM}, "robot.urdf"))
    try:
        made = prop_of(figure, Wishes(pieces=False)).prop
    except PosekitError as refused:
        raise AssertionError(f"makes no prop: {refused}") from refused
    use({**made.files, "prop.toml": made.text.encode()})


@cache
def colladas() -> Sequence[bytes]:
    """A mesh in Collada, as trimesh writes it."""
    import trimesh

    return [trimesh.creation.box((2.0, 1.0, 3.0)).export(file_type="dae")]


def enter_collada(content: bytes) -> None:
    """The surfaces of a Collada file, in finite numbers."""
    for surface in collada_surfaces(content, "box.dae"):
        assert np.isfinite(surface.vertices).all()
        assert surface.faces.max() < len(surface.vertices)


# Parts that are brought in to begin with.


def enter_parts(content: bytes) -> None:
    """A mesh of any kind as the only part of a new prop, in millimetres or as it seems."""
    kind, _, data = content.partition(b"\n")
    assembly = parts_of({f"body.{kind.decode()}": data}, "scan", beside=COLOURS)
    made = prop_of(assembly, Wishes(pieces=False))
    assert len(made.prop.links) == len(assembly.parts)
    posekit.pose(made.prop, posekit.Snapshot({}))


MATERIALS = (
    b"# of a robin\nnewmtl back\nKa 0 0 0\nKd 0.4 0.3 0.2\nnewmtl breast\nKd 0.8 0.3 0.1\nmap_Kd down.png\n"
)
ROBIN = (
    b"mtllib body.mtl\nv 0 0 0\nv 9 0 0\nv 0 9 0\nv 0 0 9\nusemtl back\nf 1 3 2\nusemtl breast\nf 2 3 4 1\n"
)
COLOURS = ColourFiles(colours_among({"body.mtl": MATERIALS}, {}).library, colours_on_disk().picture)


@cache
def parts() -> Sequence[bytes]:
    """Meshes of each kind, and those that have colours: a picture, corners, materials."""
    import trimesh
    from PIL import Image

    drawn, dotted = (trimesh.creation.box((20.0, 10.0, 30.0)) for _ in range(2))
    picture = trimesh.visual.material.PBRMaterial(baseColorTexture=Image.linear_gradient("L").convert("RGB"))
    drawn.visual = trimesh.visual.TextureVisuals(uv=drawn.vertices[:, :2] / 7.0, material=picture)
    dotted.visual.vertex_colors = [[30 * row, 255 - 30 * row, 90, 255] for row in range(8)]
    coloured = [b"glb\n" + each.export(file_type="glb") for each in (drawn, dotted)]
    return [*meshes(), *coloured, b"ply\n" + dotted.export(file_type="ply"), b"obj\n" + ROBIN]


def enter_materials(content: bytes) -> None:
    """Materials of an OBJ, which are never in the way of its parts."""
    assembly = parts_of({"body.obj": ROBIN}, "robin", beside=colours_among({"body.mtl": content}, {}))
    colour = assembly.parts[0].skins[0].colour
    assert colour is not None or any(finding.code == "colours" for finding in assembly.findings)
    assert prop_of(assembly, Wishes(pieces=False)).prop.links


@cache
def steps() -> Sequence[bytes]:
    """A cube of a CAD program, out of npm occt-import-js."""
    set_forkserver_preload(["cascadio"])  # else each case would load it anew
    return [(ROOT / "web/node_modules/occt-import-js/test/testfiles/cube-units/cube-mm.step").read_bytes()]


def enter_step(content: bytes) -> None:
    """A STEP file as parts in finite numbers."""
    try:
        found = step_parts(content, "cube.step", "cube", convert=partial(apart, as_glb, most_s=60.0))
    except FellError as reason:  # as the command tells it
        raise PosekitError([error("step-unusable", "", str(reason))]) from None
    for part in found.parts:
        assert all(np.isfinite(skin.vertices).all() for skin in part.skins)


# What carries a whole prop.


@cache
def glbs() -> Sequence[bytes]:
    """A small prop with a look and a mesh, posed."""
    text = SCAN.format(name="body.stl", pieces="").encode()
    prop = posekit.read(
        {"prop.toml": text, "meshes/body.stl": _stl(), "looks/low.csv": b"universe,address,value\n1,1,0\n"}
    )
    return [encode(prop, posekit.pose(prop, posekit.Snapshot({})))]


def enter_glb(content: bytes) -> None:
    """The prop inside a GLB."""
    from posekit.prop.glb import prop_files

    use(prop_files(content, "figure.glb"))


@cache
def folders() -> Sequence[bytes]:
    """A folder of files as lines: the path, then the text of the prop file under that name."""
    return [b"prop.toml\nlooks/low.csv\nmeshes/beak.stl\npieces/beak.json\nshows/walk.toml"]


def make_folder(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A folder with names that are odd."""
    names = [*rng.choice(seeds).split(b"\n"), rng.choice(ODD), mutated(rng, [b"looks/low.csv"])]
    rng.shuffle(names)
    return b"\n".join(names)


def enter_folder(content: bytes) -> None:
    """`posekit.read` with these names of files; a link and a zip come in through it, too."""
    names = content.decode(errors="surrogateescape").split("\n")
    files = {name: b"universe,address,value\n1,1,0\n" for name in names}
    files["prop.toml"] = props()[0]
    prop = posekit.read(files)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "prop"
        # Looked at before anything is written: a rule that fails here must not cost a file of this machine.
        for name in prop.files:
            assert (folder / name).resolve().is_relative_to(folder.resolve()), f"takes {name!r}"
        posekit.save(prop, folder)
        assert [each.name for each in Path(place).iterdir()] == ["prop"], "wrote outside of its folder"


# Verdicts kept from an earlier run.


@cache
def _wand() -> tuple[posekit.Prop, dict[str, object]]:
    """A prop that strikes, and its verdicts as they are kept, by name."""
    kept: dict[str, object] = {}
    prop = posekit.read({"prop.toml": (CASES / "valid" / "wand.toml").read_bytes()})
    posekit.clearance.envelope(prop, cache=kept)
    return prop, kept


@cache
def verdicts() -> Sequence[bytes]:
    """What is kept of one pair."""
    return [json.dumps(data).encode() for data in _wand()[1].values()]


def enter_verdict(content: bytes) -> None:
    """An envelope with this kept in the place of its verdict: it may be told, and changes nothing."""
    prop, kept = _wand()
    with tempfile.TemporaryDirectory() as place:
        (name,) = kept
        (Path(place) / f"{name}.json").write_bytes(content)
        found = posekit.clearance.envelope(prop, cache=VerdictFolder(Path(place)))
    (verdict,) = found.pairs
    assert (verdict.verdict, verdict.clear_by_mm) == _verdict(), "believes what was changed"


@cache
def _verdict() -> tuple[str, float | None]:
    (verdict,) = posekit.clearance.envelope(_wand()[0]).pairs
    return verdict.verdict, verdict.clear_by_mm


# The command line.


COMMANDS = (
    b"pose PROP LOOK",
    b"pose PROP LOOK --json",
    b"check PROP",
    b"check PROP --json",
    b"pose PROP 1/1@128",
    b"move PROP LOOK 1/1@255 --json",
    b"export PROP LOOK -o OUT/a.glb",
    b"pose PROP LOOK -o OUT/a.glb",
    b"pieces PROP",
    b"edit PROP set drives.shoulder.rest=3 joints.a.at=[1,2,3] --json",
    b"edit PROP add servo s speed=0.1_s/60 travel=90 pulse_range=[900,2100] -o OUT/new",
    b"edit PROP remove drive wand --with-all --write",
    b"edit PROP place wand --at 1,2,3 --along 0,0.1,1 --type revolute --write --json",
    b"edit PROP zero wand -4.5 --write",
    b"motion PROP LOOK --json",
    b"envelope PROP --budget 0.2 --json",
    b"hinge PROP arm@0,0,60 --joint shoulder --write",
    b"sheet PROP --json",
    b"sheet PROP --cards --steps LOOK",
    b"sheet PROP --compare LOOK --json",
    b"notes PROP LOOK --json",
    b"notes PROP LOOK --done 1a1a1a",
    b"schema",
)


def typed(line: bytes, prop: bytes, look: bytes) -> bytes:
    """A command line with what it works on: the line, how long the prop file is, the prop file, a snapshot."""
    return line.replace(b"\n", b" ")[:2000] + b"\n" + str(len(prop)).encode() + b"\n" + prop + look


@cache
def lines() -> Sequence[bytes]:
    """Commands as they are typed; PROP, LOOK and OUT stand for a folder, a file and a folder to write into."""
    return [
        typed(line, props()[0], b"universe,address,value\n1,1,200\n")
        for line in (b"pose PROP LOOK", b"check PROP")
    ]


def make_line(rng: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A command line, its prop file or its look gone wrong."""
    line, prop, look = rng.choice(COMMANDS), rng.choice(props()), rng.choice(snapshots()).partition(b"\n")[2]
    look = rng.choice(notes()) if line.startswith(b"notes") else look
    which = rng.random()
    if which < 0.3:
        line = mutated(rng, [line])
    elif which < 0.7:
        prop = revalued(rng, props()) if rng.random() < 0.5 else mutated(rng, props())
    else:
        look = mutated(rng, [look])
    return typed(line, prop, look)


def enter_line(content: bytes) -> None:
    """Run a command in a folder of its own. Status 0 or 1 is an answer, 2 a refusal; a traceback is neither."""
    from posekit.cli.main import main

    line, _, rest = content.partition(b"\n")
    size, _, rest = rest.partition(b"\n")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for name in ("prop", "out"):
            (folder / name).mkdir()
        (folder / "prop" / "prop.toml").write_bytes(rest[: int(size)])
        (folder / "look.csv").write_bytes(rest[int(size) :])
        written = line.decode(errors="replace").replace("\0", " ")
        for word, path in (("PROP", "prop"), ("LOOK", "look.csv"), ("OUT", "out")):
            written = written.replace(word, str(folder / path))
        try:
            words = shlex.split(written)
        except ValueError:
            words = written.split()
        if "show" in words:  # serves a page without end
            return
        out, aside = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(aside):
            try:
                main(words, prog_name="posekit", standalone_mode=True)
            except SystemExit as done:
                status = done.code
    said = out.getvalue() + aside.getvalue()
    assert status in (0, 1, 2), f"status {status}: {aside.getvalue()[-300:]}"
    assert "Traceback" not in said and "went wrong" not in aside.getvalue().lower(), aside.getvalue()[-2000:]
    assert not unsafe(said), "prints letters a terminal acts on"
    if status == 2:
        assert aside.getvalue().strip(), "refuses without a word"
        raise PosekitError([error("status-2", "", "told on standard error")])


DOORS: dict[str, Door] = {
    "prop": Door(
        props, lambda rng, seeds: (revalued if rng.random() < 0.6 else mutated)(rng, seeds), enter_prop
    ),
    "strength": Door(
        props, lambda rng, seeds: (revalued if rng.random() < 0.8 else mutated)(rng, seeds), enter_strength
    ),
    "snapshot": Door(snapshots, make_kind, enter_snapshot),
    "sheet": Door(filled_sheets, mutated, enter_filled_sheet),
    "notes": Door(notes, make_notes, enter_notes),
    "steps": Door(timed_steps, mutated, enter_steps),
    "show": Door(shows, make_show, enter_show),
    "capture": Door(captures, make_kind, enter_capture),
    "mesh": Door(meshes, make_mesh, enter_mesh),
    "parts": Door(parts, make_mesh, enter_parts),
    "materials": Door(lambda: [MATERIALS], mutated, enter_materials),
    "step": Door(steps, mutated, enter_step),
    "pieces": Door(pieces, mutated, enter_pieces),
    "urdf": Door(urdfs, mutated, enter_urdf),
    "collada": Door(colladas, mutated, enter_collada),
    "glb": Door(glbs, mutated, enter_glb),
    "cache": Door(verdicts, mutated, enter_verdict),
    "folder": Door(folders, make_folder, enter_folder),
    "command line": Door(lines, make_line, enter_line),
}

if sys.platform == "win32":  # `enter_line` types paths as a POSIX shell would read them
    del DOORS["command line"]
