"""`posekit show`: the page in the browser, from a server on this machine that no other can reach."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import click

import posekit
from posekit.bridge.served import served
from posekit.cli.printing import print_json
from posekit.cli.server import Site, serve
from posekit.errors import PosekitError, error
from posekit.prop.folder import PROP_FILE

PAGE = Path(posekit.__file__).parent / "page"


@click.command("show")
@click.argument("model", required=False)
@click.option("--port", default=0, show_default="any free one", help="Port on 127.0.0.1.")
@click.option("--no-open", is_flag=True, help="Do not open a browser.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(model: str | None, port: int, no_open: bool, as_json: bool) -> None:
    """Show MODEL in the browser: move its channels, calibrate it, find poses.

    MODEL is a prop folder, its prop.toml, or a GLB that posekit wrote; without it the demo props are shown.
    What is changed stays in the browser until it is saved there as a file.
    """
    server = serve(site(model), port)
    address = f"http://127.0.0.1:{server.server_port}/"
    if as_json:
        print_json({"address": address})
    else:
        click.echo(f"posekit is at {address} (Ctrl+C ends it)")
    if not no_open:
        webbrowser.open(address)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        click.echo()
    finally:
        server.server_close()


def site(model: str | None) -> Site:
    """The built page, with a prop of the builder's own in front of the demo props."""
    if not (PAGE / "index.html").is_file():
        sentence = "was left out when posekit was installed; install it again without POSEKIT_PAGE=skip"
        raise PosekitError([error("no-page", "the page", sentence)])
    if model is None:
        return Site(PAGE)
    path = Path(model).resolve()
    name = path.parent.name if path.name == PROP_FILE else path.stem
    return Site(PAGE, *served(name, posekit.load(model)))
