"""The page for phones in the same network: to look at and nothing else, at an address that holds a secret.

Plain http, so that no certificate has to be put on a phone: whoever is in the network can read along, the secret too.
What is said to the builder says so. It is another server than that of the loopback, with no door to save through.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import segno

from posekit.budgets import FOLDER_BYTES
from posekit.paths import read_within
from posekit.prop.writer import write_whole
from posekit.serve.app import looking_app_of
from posekit.serve.network import Place
from posekit.serve.patience import PatientProtocol
from posekit.serve.server import Server, in_a_thread, listening
from posekit.serve.site import Site

SECRET_BYTES = 16  # of chance: 128 bits are never guessed, and make a QR code that any camera reads
QUIET = 4  # light modules around a QR code (ISO/IEC 18004)
ROOT = '<html lang="en">'


@dataclass(frozen=True, slots=True)
class Phone:
    """Where a phone finds the page, in which network, and the address as rows of a QR code: 1 is dark."""

    address: str
    network: str
    rows: tuple[str, ...]


@contextmanager
def phone(
    site: Site,
    place: Place,
    port: int = 0,
    on_fault: Callable[[Exception], None] = lambda fault: None,
    protocol: type[PatientProtocol] = PatientProtocol,
) -> Iterator[Phone]:
    """Serve a site at this address of the machine, on this port, 0 for any free one, until the end of the block.

    Raises PosekitError if the address cannot be had.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with TemporaryDirectory(prefix="posekit-phone-") as folder:
        _say_so(site, Path(folder))
        looked_at = Site((Path(folder), *site.folders), site.front)
        taken = listening(place.address, port, "--phone-port")
        server = Server(looking_app_of(looked_at, place.address, secret, on_fault), taken, protocol)
        address = f"{server.address}{secret}/"
        try:
            with in_a_thread(server):
                yield Phone(address, place.network, qr_rows(address))
        finally:
            server.close()


def qr_rows(address: str) -> tuple[str, ...]:
    """A QR code as rows of 0 and 1 with the light edge it needs."""
    code = segno.make(address, error="m", micro=False)
    return tuple("".join(map(str, map(int, row))) for row in code.matrix_iter(border=QUIET))


def _say_so(site: Site, folder: Path) -> None:
    """The page with a word on whom it is served for."""
    page = site.place("index.html")
    markup = read_within(page, FOLDER_BYTES).decode() if page else ""
    write_whole(
        folder / "index.html", markup.replace(ROOT, f'{ROOT[:-1]} data-served="network">', 1).encode()
    )
