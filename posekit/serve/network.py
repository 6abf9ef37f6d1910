"""The addresses that this machine has in networks, the one that a phone is likeliest to reach first."""

from __future__ import annotations

import re
import socket
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from ipaddress import IPv4Interface, IPv4Network

import ifaddr

from posekit.errors import PosekitError, error
from posekit.text import listed

# Networks that a machine has with programs of its own: containers, virtual machines, tunnels. A tunnel has the way out
# to all other networks where it is open, so this is asked first.
_OWN = re.compile(
    r"docker|br-|veth|virbr|vmnet|vbox|vethernet|tun|tap|wg|zt|utun|ppp|ipsec|cni|flannel|podman|.*(vpn|tunnel)",
    re.I,
)
_SHARED = IPv4Network("100.64.0.0/10")  # RFC 6598: of providers, and of tunnels that borrow it
ANYWHERE = ("198.51.100.1", 9)  # RFC 5737: nobody has it; the way to it is that to all other networks


@dataclass(frozen=True, slots=True)
class Place:
    """An address of this machine: the name of the interface, the address, and the network that it is in."""

    interface: str
    address: str
    network: str


def places() -> tuple[Place, ...]:
    """The IPv4 addresses of this machine but for those of the loopback and those that the whole world may reach.

    First the one by which it reaches other networks, last those of tunnels and of networks within the machine.
    """
    found = [
        (adapter.nice_name, IPv4Interface(f"{ip.ip}/{ip.network_prefix}"))
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
        if ip.is_IPv4
    ]
    way_out = _way_out()
    told = [
        Place(name, str(at.ip), str(at.network))
        for name, at in found
        if not (at.ip.is_loopback or at.ip.is_global)
    ]
    return tuple(sorted(told, key=lambda place: (*_rank(place), place.address != way_out)))


def chosen(places: Iterable[Place], address: str | None) -> Place:
    """The place with this address; without one the first. Raises PosekitError where there is none."""
    there = tuple(places)
    if not there:
        sentence = "this machine is in no network that a phone could be in; join one, by cable or without"
        raise PosekitError([error("no-network", "--phone", sentence)])
    if address is None:
        return there[0]
    for place in there:
        if place.address == address:
            return place
    sentence = (
        f"= {address}: is no address of this machine in a network of its own; it has {listed(told(there))}"
    )
    raise PosekitError([error("no-network", "--phone-at", sentence)])


def told(places: Iterable[Place]) -> list[str]:
    """Addresses with the names of their interfaces."""
    return [f"{place.address} ({place.interface})" for place in places]


def _rank(place: Place) -> tuple[bool, bool]:
    at = IPv4Interface(place.address)
    return bool(_OWN.match(place.interface)) or at.ip in _SHARED, at.ip.is_link_local


def _way_out() -> str:
    """The address by which this machine reaches other networks; empty where it reaches none. Nothing is sent."""
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as asking:
        try:
            asking.connect(ANYWHERE)
        except OSError:
            return ""
        address: str = asking.getsockname()[0]
        return address
