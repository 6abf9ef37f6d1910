"""`posekit show`: the page in the browser, from a server on this machine that no other can reach unless phones may."""

from __future__ import annotations

import signal
import sys
import webbrowser
from contextlib import ExitStack
from dataclasses import asdict

import click

from posekit.cli.last_resort import fault_told
from posekit.cli.options import Whole, json_option
from posekit.cli.printing import print_json, print_qr, say
from posekit.serve import bound, site_of
from posekit.serve.network import chosen, places, told
from posekit.serve.phone import Phone
from posekit.serve.phone import phone as phone_of
from posekit.text import listed

ENDED = 128 + signal.SIGTERM  # as shells count


@click.command("show")
@click.argument("model", required=False)
@click.option("--port", type=Whole(), default=0, show_default="any free one", help="Port on 127.0.0.1.")
@click.option("--no-open", is_flag=True, help="Do not open a browser.")
@click.option("--phone", "phones", is_flag=True, help="Let phones in the same network look at it, too.")
@click.option("--phone-at", metavar="ADDRESS", help="Which address of this machine, if it has several.")
@click.option(
    "--phone-port", type=Whole(), default=0, show_default="any free one", help="Port at that address."
)
@json_option
def command(
    model: str | None,
    port: int,
    no_open: bool,
    phones: bool,
    phone_at: str | None,
    phone_port: int,
    as_json: bool,
) -> None:
    """Show MODEL in the browser: move its channels, calibrate it, find poses.

    MODEL is a prop folder, its prop.toml, or a GLB that posekit wrote; without it the demo props are shown. What
    changes on disk shows at once. What is changed in the page stays in the browser until it is saved there, into the
    folder or as a file; a GLB and what came with posekit are only read.

    Nobody but this machine can reach it. With --phone whoever has the address, which holds a secret, and is in the
    same network, or in one with a way into it, can look at MODEL too, until the command ends; to save or to change it
    there is no way from there.
    """
    if (phone_at or phone_port) and not phones:
        raise click.UsageError("--phone-at and --phone-port go with --phone")
    if phones and model is None:
        raise click.UsageError("--phone goes with a MODEL")
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(ENDED))  # so that the prop's own files are cleared away

    def on_fault(fault: Exception) -> None:
        say(fault_told(fault), err=True)

    there = places() if phones else ()
    place = chosen(there, phone_at) if phones else None
    with ExitStack() as until_the_end:
        site = until_the_end.enter_context(site_of(model))
        phone = until_the_end.enter_context(phone_of(site, place, phone_port, on_fault)) if place else None
        at_phones = asdict(phone) if phone else None
        server = until_the_end.enter_context(bound(site, port, on_fault, at_phones=at_phones))
        opened = not no_open and webbrowser.open(server.entrance)
        # The entrance is given out once: to the browser, else here.
        address = server.address if opened else server.entrance
        others = told(each for each in there if each != place)
        if as_json:
            print_json(
                {"address": address} | ({"phone": {**asdict(phone), "others": others}} if phone else {})
            )
        else:
            say(f"posekit is at {address} (Ctrl+C ends it)")
            if phone:
                _tell(phone, others)
        try:
            server.run()
        except KeyboardInterrupt:
            say("")


def _tell(phone: Phone, others: list[str]) -> None:
    """Where a phone finds the page, and what is reachable there by whom."""
    print_qr(phone.rows)
    say(f"For a phone in the same network: {phone.address}")
    for line in (
        f"Whoever has this address and is in the network {phone.network}, or in one with a way into it, can look",
        "at the prop with all its files and notes, as they are on disk, and keep a copy. Nobody can save or change",
        "anything there. The connection is not encrypted: others on its way can read along, the address too. All of",
        "it ends with this command.",
    ):
        say(line)
    if others:
        say(f"If the phone is in another network, use --phone-at with one of: {listed(others)}")
