"""Machines in a network of the test's own: network namespaces of Linux, joined by a virtual cable.

As root they are made at once; others make them in a user namespace, where the system allows that. What is missing is an
error, so that no test is left out without a word.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from ipaddress import IPv4Address
from pathlib import Path

SECONDS = "900"  # after which a machine that was left over goes by itself
WORKSHOP, PHONE, INSIDE = "192.168.77.2", "192.168.77.3", "172.17.0.1"

# Requests come in as JSON, each with host, port and what is sent; what comes back goes out, null where nobody listens.
ASK = """
import json, socket, sys
def ask(host, port, request):
    try:
        with socket.create_connection((host, port), 5) as connection:
            connection.sendall(request.encode())
            answer = b""
            while block := connection.recv(65536):
                answer += block
            return answer.decode("latin1")
    except OSError:
        return None
print(json.dumps([ask(*each) for each in json.load(sys.stdin)]))
"""


@dataclass(frozen=True)
class Machine:
    """A machine: the words that a command begins with to run on it."""

    enter: tuple[str, ...]
    pid: int

    def run(self, *command: str, given: str = "") -> str:
        """Run a command on it, and give what it prints."""
        done = subprocess.run(
            [*self.enter, *command], input=given, capture_output=True, text=True, timeout=60
        )
        assert done.returncode == 0, f"{' '.join(command)}: {done.stderr}"
        return done.stdout

    def ask(self, *requests: tuple[str, int, str]) -> list[str | None]:
        """What comes back for each (host, port, request); None where nobody listens."""
        answers: list[str | None] = json.loads(
            self.run(sys.executable, "-c", ASK, given=json.dumps(requests))
        )
        return answers

    def listens(self) -> set[str]:
        """The addresses at which anything on it listens, by TCP or UDP, old or new."""
        found = set()
        for kind in ("tcp", "tcp6", "udp", "udp6"):
            for line in Path(f"/proc/{self.pid}/net/{kind}").read_text().splitlines()[1:]:
                _, local, _, state, *_ = line.split()
                if kind.startswith("udp") or state == "0A":  # TCP_LISTEN
                    number = local.split(":")[0]
                    short = len(number) == 8
                    found.add(str(IPv4Address(bytes.fromhex(number)[::-1])) if short else number)
        return found


@contextmanager
def machines() -> Iterator[tuple[Machine, Machine]]:
    """A workshop's machine, with a network of its own inside, and a phone in the same outer network."""
    with ExitStack() as until_the_end:

        def holds(*command: str) -> int:
            holder = subprocess.Popen([*command, "sleep", SECONDS])
            until_the_end.callback(holder.wait)
            until_the_end.callback(holder.kill)
            return holder.pid

        user: tuple[str, ...] = ()
        if os.geteuid():
            pid = holds(_tool("unshare"), "-Ur")
            _until_apart(pid, "user")
            user = (_tool("nsenter"), "-t", str(pid), "-U", "--preserve-credentials")
        workshop, phone = (_machine(user, holds(*user, _tool("unshare"), "-n")) for _ in range(2))
        ip = _tool("ip")

        def on(machine: Machine, words: str) -> None:
            machine.run(ip, *words.split())

        on(workshop, f"link add wlan0 type veth peer name wlan0 netns {phone.pid}")
        on(workshop, "link add docker0 type veth peer name far0")
        up = [(workshop, "lo"), (workshop, "wlan0"), (workshop, "docker0"), (phone, "lo"), (phone, "wlan0")]
        addresses = ((workshop, WORKSHOP, "wlan0"), (phone, PHONE, "wlan0"), (workshop, INSIDE, "docker0"))
        for machine, address, device in addresses:
            on(machine, f"addr add {address}/24 dev {device}")
        for machine, device in up:
            on(machine, f"link set {device} up")
        on(workshop, "route add default via 192.168.77.1")
        yield workshop, phone


def get(
    address: str, path: str = "/", method: str = "GET", host: str = "", more: Sequence[str] = ()
) -> tuple[str, int, str]:
    """A request for `Machine.ask` to the server at an address `http://HOST:PORT/...`."""
    at, _, _ = address.removeprefix("http://").partition("/")
    name, _, port = at.partition(":")
    lines = [f"{method} {path} HTTP/1.1", f"Host: {host or at}", "Connection: close", *more]
    return name, int(port), "\r\n".join([*lines, "", ""])


def _machine(user: tuple[str, ...], pid: int) -> Machine:
    _until_apart(pid, "net")
    # The options of one nsenter are carried out in one go: into the user namespace first.
    return Machine((*(user or (_tool("nsenter"),)), f"--net=/proc/{pid}/ns/net"), pid)


def _until_apart(pid: int, kind: str) -> None:
    """Wait until a process is in a namespace of its own."""
    until = time.monotonic() + 20
    while os.readlink(f"/proc/{pid}/ns/{kind}") == os.readlink(f"/proc/self/ns/{kind}"):
        assert time.monotonic() < until, f"no {kind} namespace of its own can be had on this system"
        time.sleep(0.01)


def _tool(name: str) -> str:
    found = shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin")
    assert found, f"{name} is missing: install util-linux and iproute2"
    return found
