"""`posekit show`: the page in the browser, from a server on this machine that no other can reach."""

from __future__ import annotations

import signal
import sys
import webbrowser

import click

from posekit.cli.last_resort import fault_told
from posekit.cli.options import json_option
from posekit.cli.printing import print_json, say
from posekit.serve import bound, site_of

ENDED = 128 + signal.SIGTERM  # as shells count


@click.command("show")
@click.argument("model", required=False)
@click.option("--port", default=0, show_default="any free one", help="Port on 127.0.0.1.")
@click.option("--no-open", is_flag=True, help="Do not open a browser.")
@json_option
def command(model: str | None, port: int, no_open: bool, as_json: bool) -> None:
    """Show MODEL in the browser: move its channels, calibrate it, find poses.

    MODEL is a prop folder, its prop.toml, or a GLB that posekit wrote; without it the demo props are shown. What
    changes on disk shows at once. What is changed in the page stays in the browser until it is saved there, into the
    folder or as a file; a GLB and what came with posekit are only read.
    """
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(ENDED))  # so that the prop's own files are cleared away
    with site_of(model) as site, bound(site, port, lambda fault: say(fault_told(fault), err=True)) as server:
        opened = not no_open and webbrowser.open(server.entrance)
        # The entrance is given out once: to the browser, else here.
        address = server.address if opened else server.entrance
        if as_json:
            print_json({"address": address})
        else:
            say(f"posekit is at {address} (Ctrl+C ends it)")
        try:
            server.run()
        except KeyboardInterrupt:
            say("")
