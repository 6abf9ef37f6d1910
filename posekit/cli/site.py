"""`posekit site`: the page with the builder's props as a folder for any web host."""

from __future__ import annotations

from dataclasses import asdict
from posixpath import dirname

import click

from posekit.cli.files import note_written
from posekit.cli.options import json_option
from posekit.cli.printing import print_json, say, table
from posekit.paths import megabytes
from posekit.prop.writer import must_be_new, write_new
from posekit.serve.hosting import HOSTING
from posekit.serve.static_site import Carried, static_site
from posekit.text import counted, listed


@click.command("site")
@click.argument("out")
@click.argument("models", nargs=-1, required=True, metavar="MODEL...")
@click.option("--notes", is_flag=True, help="Give away the director's notes of each prop, too.")
@json_option
def command(out: str, models: tuple[str, ...], notes: bool, as_json: bool) -> None:
    """Write into the new folder OUT a site with the props MODEL, to be put on any web host.

    Links to it are short and open anywhere. The site carries, for whoever reaches it, the prop file of each MODEL with
    its comments, its meshes, looks and shows; its notes with --notes; nothing else of its folder.
    """
    must_be_new(out)
    site = static_site(models, notes=notes)
    write_new(site.files, out)
    note_written(out)
    size = sum(map(len, site.files.values()))
    if as_json:
        props = [asdict(prop) for prop in site.props]
        print_json({"folder": out, "files": len(site.files), "bytes": size, "props": props})
        return
    table(
        "Whoever reaches the site can read of each prop:",
        ("prop", "title", "from", "given away"),
        [(prop.name, prop.title, prop.model, _given_away(prop)) for prop in site.props],
    )
    kept_back = "originals" if notes else "originals and notes"
    say(
        f"The prop file goes along to the letter, comments too. All else in its folder stays here, {kept_back} too."
    )
    say(f"Wrote {out}: {counted(len(site.files), 'file')}, {megabytes(size)}. Put the folder on a web host;")
    say(f"{HOSTING} in it has the headers to set there.")


def _given_away(prop: Carried) -> str:
    """The files by their names, and how many of each folder."""
    folders = dict.fromkeys(dirname(path).split("/")[0] for path in prop.files if "/" in path)
    count = {folder: sum(path.startswith(f"{folder}/") for path in prop.files) for folder in folders}
    own = [path for path in prop.files if "/" not in path]
    return listed([*own, *(f"{counted(many, 'file')} in {folder}/" for folder, many in count.items())])
