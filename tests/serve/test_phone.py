"""The page for phones: who reaches it, what they can do there, and what is never told."""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import ifaddr
import pytest
from click.testing import CliRunner

import posekit
from posekit import serve
from posekit.cli import main
from posekit.cli.printing import print_qr
from posekit.prop import writer
from posekit.serve.headers import HEADERS
from posekit.serve.network import Place, places
from posekit.serve.phone import Phone, phone, qr_rows
from tests.serve.machines import INSIDE, WORKSHOP, Machine, get, machines

pytestmark = pytest.mark.native
linux = pytest.mark.skipif(sys.platform != "linux", reason="network namespaces are of Linux")

HERE = Place("lo", "127.0.0.1", "127.0.0.0/8")
SHOW = [sys.executable, "-c", "from posekit.cli import main; main()", "show"]


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """A page in small."""
    for path, content in {
        "index.html": '<!doctype html>\n<html lang="en"><script src="./assets/a.js"></script></html>',
        "assets/a.js": "1",
        "props/index.json": "[]",
    }.items():
        place = tmp_path / "page" / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(content)
    return tmp_path / "page"


@pytest.fixture
def model(tmp_path: Path, arm: posekit.Prop) -> Path:
    writer.save(arm, tmp_path / "arm")
    return tmp_path / "arm"


@pytest.fixture
def site(model: Path, page: Path) -> Iterator[serve.Site]:
    with serve.site_of(str(model), page) as site:
        yield site


Answer = tuple[int, dict[str, str], bytes]


def ask(at: Phone, path: str, method: str = "GET", **headers: str) -> Answer:
    """What the server of this page answers for a path, which may be one below the secret: `./x`."""
    port, secret = at.address.removeprefix("http://127.0.0.1:").rstrip("/").split("/")
    connection = http.client.HTTPConnection("127.0.0.1", int(port), timeout=10)
    whole = f"/{secret}{path[1:]}" if path.startswith(".") else path
    connection.request(method, whole, headers=headers)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, {name.lower(): value for name, value in answer.getheaders()}, content


def test_behind_the_secret_the_page_says_whom_it_is_served_for_and_lets_look(site, arm) -> None:
    with phone(site, HERE) as at:
        status, headers, markup = ask(at, "./")
        assert status == 200 and b'<html lang="en" data-served="network">' in markup
        assert {name: headers[name.lower()] for name in HEADERS} == HEADERS
        (entry,) = json.loads(ask(at, "./props/index.json")[2])
        assert entry["title"] == arm.name
        assert ask(at, f"./{entry['folder']}")[2].startswith(b"PK")
        now = json.loads(ask(at, "./folder/now?seen=")[2])
        assert now["may_save"] is False
        digest = now["files"]["prop.toml"]
        assert ask(at, f"./folder/file/{digest}")[2].decode() == arm.text
        assert ask(at, f"./folder/now?seen={now['state']}")[0] == 204


def test_a_browser_keeps_nothing_of_the_prop_and_what_is_posekits_own_for_good(site) -> None:
    with phone(site, HERE) as at:
        (entry,) = json.loads(ask(at, "./props/index.json")[2])
        digest = json.loads(ask(at, "./folder/now")[2])["files"]["prop.toml"]
        own = (
            entry["picture"],
            entry["folder"],
            "props/index.json",
            "folder/now",
            f"folder/file/{digest}",
            "",
        )
        assert {ask(at, f"./{path}")[1]["cache-control"] for path in own} == {"no-store"}
        assert "immutable" in ask(at, "./assets/a.js")[1]["cache-control"]


def test_who_does_not_have_the_secret_hears_the_same_whatever_they_ask_for(site) -> None:
    with phone(site, HERE) as at:
        secret = at.address.rstrip("/").rpartition("/")[2]
        assert len(secret) >= 22  # 128 bits
        near = secret[:-1] + ("A" if secret[-1] != "A" else "B")
        wrong = [
            "/",
            "/index.html",
            f"/{secret}",
            f"/{near}/",
            f"/{secret[:-1]}/",
            f"/{secret}a/",
            f"//{secret}/",
        ]
        wrong += [
            f"/x/../{secret}/",
            "/folder/now",
            f"/%C3%A4{secret}/",
            "/%ED%A0%80/",
            f"/{secret.lower()}/",
        ]
        heard = {
            (status, content, tuple(sorted(headers)))
            for status, headers, content in (ask(at, path) for path in wrong)
        }
        assert len(heard) == 1 and next(iter(heard))[:2] == (404, b"There is no such file.")
        with phone(site, HERE) as other:
            assert ask(other, f"/{secret}/")[0] == 404, "each run has its own"


def test_a_name_that_was_pointed_at_this_machine_is_turned_away_even_with_the_secret(site) -> None:
    with phone(site, HERE) as at:
        for host in ("elsewhere.example", "localhost", "127.0.0.1.elsewhere.example:80", "127.0.0.2"):
            status, headers, words = ask(at, "./", Host=host)
            assert status == 421 and b"arm" not in words and headers["cache-control"] == "no-store"


def test_no_door_leads_into_the_folder_whatever_key_is_held_against_it(site, model) -> None:
    before = (model / "prop.toml").read_bytes()
    with phone(site, HERE) as at, serve.running(site) as server:
        key = server.entrance.partition("#key=")[2]
        json_headers = {
            "Content-Type": "application/json",
            "Origin": server.address.rstrip("/"),
            "Posekit-Key": key,
        }
        for door in ("enter", "difference", "save", "phone"):
            assert ask(at, f"./folder/{door}", "POST", **json_headers)[0] == 405
            assert ask(at, f"./folder/{door}", "GET", **json_headers)[0] == 404
        for method in ("PUT", "DELETE", "PATCH", "OPTIONS"):
            assert ask(at, "./folder/now", method)[0] == 405
    assert (model / "prop.toml").read_bytes() == before


def test_of_the_secret_and_the_place_of_the_folder_nothing_is_told(site, model, monkeypatch) -> None:
    faults: list[Exception] = []
    with phone(site, HERE, on_fault=faults.append) as at:
        secret = at.address.rstrip("/").rpartition("/")[2]
        answers = [
            ask(at, path) for path in ("./", "./nothing", "./props/index.json", "./folder/now", "/x", "./%20")
        ]
        (model / "prop.toml").unlink()
        broken = ask(at, "./folder/now")
        assert json.loads(broken[2])["findings"]
        for _, headers, content in [*answers, broken]:
            told = (json.dumps(headers).encode() + content).decode("latin1")
            assert secret not in told and str(model.parent) not in told
        monkeypatch.setattr(serve.Site, "place", lambda site, address: [][len(address)])
        assert ask(at, "./")[0] == 500
    trace = faults[0].__traceback__
    seen = []
    # Ends: a traceback has an end.
    while trace:
        if trace.tb_frame.f_code.co_name == "answer":
            seen += [repr(trace.tb_frame.f_locals), str(trace.tb_frame.f_locals["request"].url)]
        trace = trace.tb_next
    assert seen and not any(secret in each for each in seen)


def test_where_phones_look_is_told_to_the_page_that_may_save_and_to_no_other(site) -> None:
    at_phones = {"address": "http://192.168.77.2:1/x/", "network": "192.168.77.0/24", "rows": ["1"]}
    with serve.bound(site, at_phones=at_phones) as server, serve.in_a_thread(server):
        here = Phone(f"{server.address}folder/", "", ())
        assert ask(here, "./phone")[0] == 204
        about = {"Content-Type": "application/json", "Origin": server.address.rstrip("/")}
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
        given = json.dumps({"key": server.entrance.partition("#key=")[2]})
        connection.request("POST", "/folder/enter", given, about)
        key = json.loads(connection.getresponse().read())["key"]
        connection.close()
        assert json.loads(ask(here, "./phone", **{"Posekit-Key": key})[2]) == at_phones


def test_the_code_in_the_terminal_is_that_of_the_address(capsys: pytest.CaptureFixture[str]) -> None:
    rows = qr_rows("http://192.168.77.2:54321/AAAAAAAAAAAAAAAAAAAAAA/")
    assert len({len(rows), *map(len, rows)}) == 1 and len(rows) % 2 == 1
    assert {row[:4] + row[-4:] for row in rows} == {"0" * 8}, "light all around"
    assert rows[4][4:11] == "1111111" and rows[5][4:11] == "1000001", "a corner by which cameras find it"
    print_qr(rows)
    lines = capsys.readouterr().out.splitlines()
    upper = ["".join("1" if sign in "▀█" else "0" for sign in line.ljust(len(rows))) for line in lines]
    lower = ["".join("1" if sign in "▄█" else "0" for sign in line.ljust(len(rows))) for line in lines]
    read = [row for pair in zip(upper, lower, strict=True) for row in pair]
    assert tuple(read[: len(rows)]) == rows


def test_the_code_keeps_its_two_colours_where_colours_are_not_wanted(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without them it would be light on dark in most terminals."""
    for name, value in {
        "NO_COLOR": "1",
        "FORCE_COLOR": "1",
        "TERM": "xterm",
        "COLORTERM": "truecolor",
    }.items():
        monkeypatch.setenv(name, value)
    print_qr(("01", "10"))
    assert "38;2;0;0;0;48;2;255;255;255m" in capsys.readouterr().out


def test_the_network_that_a_phone_is_in_comes_before_tunnels_that_have_the_way_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    there = {
        "office-vpn": "10.8.0.2/24",
        "mesh0": "100.100.7.7/32",
        "docker0": "172.17.0.1/16",
        "eth1": "169.254.9.9/16",
        "eth0": "192.168.77.2/24",
        "wlan0": "192.168.1.4/24",
    }
    found = [
        ifaddr.Adapter(name, name, [ifaddr.IP(at.split("/")[0], int(at.split("/")[1]), name)])
        for name, at in there.items()
    ]
    monkeypatch.setattr(ifaddr, "get_adapters", lambda: found)
    for way_out, first in {"10.8.0.2": "eth0", "100.100.7.7": "eth0", "192.168.1.4": "wlan0"}.items():
        monkeypatch.setattr("posekit.serve.network._way_out", lambda way_out=way_out: way_out)
        told = [place.interface for place in places()]
        assert told[0] == first and told[2] == "eth1" and set(told[3:]) == {"office-vpn", "mesh0", "docker0"}


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--phone"], "goes with a MODEL"),
        (["MODEL", "--phone-port", "9"], "go with --phone"),
        (["MODEL", "--phone", "--phone-at", "8.8.8.8"], "8.8.8.8"),
        (["MODEL", "--phone", "--phone-at", "127.0.0.1"], "127.0.0.1"),
        (["MODEL", "--phone", "--phone-at", "0.0.0.0"], "0.0.0.0"),
    ],
)
def test_wrong_use_is_told_before_anything_listens(
    model: Path, page: Path, words: list[str], why: str, monkeypatch
) -> None:
    monkeypatch.setattr("posekit.cli.show.site_of", lambda model: serve.site_of(model, page))
    monkeypatch.setattr("posekit.serve.server.listening", lambda *given: pytest.fail("it listens"))
    done = CliRunner().invoke(
        main, ["show", "--no-open", *(str(model) if each == "MODEL" else each for each in words)]
    )
    assert done.exit_code == 2 and why in done.stderr


@pytest.fixture(scope="module")
def network() -> Iterator[tuple[Machine, Machine]]:
    with machines() as both:
        yield both


@contextmanager
def shown(
    machine: Machine, page: Path, model: Path, *words: str
) -> Iterator[tuple[subprocess.Popen[str], dict[str, Any]]]:
    """`posekit show` on a machine, and what it says as JSON."""
    (page.parent / "tmp").mkdir(exist_ok=True)
    begin = f"from pathlib import Path; from posekit.serve import site; page = Path({str(page)!r}); "
    begin += "site.site_of.__defaults__ = (page,); "
    command = [
        *machine.enter,
        SHOW[0],
        "-c",
        begin + SHOW[2],
        "show",
        str(model),
        "--no-open",
        "--json",
        *words,
    ]
    environment = {**os.environ, "TMPDIR": str(page.parent / "tmp"), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment
    ) as running:
        assert running.stdout is not None and running.stderr is not None
        lines: list[str] = []
        for line in running.stdout:
            lines.append(line)
            if line == "}\n":
                break
        assert lines, running.stderr.read()
        try:
            yield running, json.loads("".join(lines))
        finally:
            running.kill()


@linux
def test_without_the_option_nothing_but_the_loopback_listens(network, page, model) -> None:
    workshop, _ = network
    with shown(workshop, page, model) as (_, said):
        assert set(said) == {"address"}
        assert workshop.listens() == {"127.0.0.1"}


@linux
def test_a_phone_in_the_network_looks_and_all_of_it_ends_with_the_command(network, page, model) -> None:
    workshop, hand = network
    with shown(workshop, page, model, "--phone") as (running, said):
        at = said["phone"]["address"]
        path = f"/{at.split('/')[3]}/"
        assert at.startswith(f"http://{WORKSHOP}:") and said["phone"]["network"] == "192.168.77.0/24"
        assert said["phone"]["others"] == [f"{INSIDE} (docker0)"]
        assert workshop.listens() == {"127.0.0.1", WORKSHOP}
        own = said["address"].partition("#")[0]
        inside = at.replace(WORKSHOP, INSIDE)
        through, other, rebound, loop = hand.ask(
            get(at, path),
            get(at, "/"),
            get(at, path, host="elsewhere.example"),
            get(own.replace("127.0.0.1", WORKSHOP)),
        )
        assert (
            through is not None and through.startswith("HTTP/1.1 200") and 'data-served="network"' in through
        )
        assert other is not None and other.startswith("HTTP/1.1 404")
        assert rebound is not None and rebound.startswith("HTTP/1.1 421")
        assert loop is None, "the page that may save is not reached from the network"
        assert workshop.ask(get(inside, path), get(at.replace(WORKSHOP, "127.0.0.1"), path)) == [None, None]
        running.send_signal(signal.SIGINT)
        assert running.wait(20) == 0
        assert running.stderr is not None and running.stderr.read() == ""
        assert hand.ask(get(at, path)) == [None]
    assert workshop.listens() == set()
    assert list((page.parent / "tmp").iterdir()) == [], "what was served is cleared away"


@linux
def test_of_several_networks_one_can_be_chosen_and_without_any_it_is_told(network, page, model) -> None:
    workshop, _ = network
    with shown(workshop, page, model, "--phone", "--phone-at", INSIDE) as (_, said):
        assert workshop.listens() == {"127.0.0.1", INSIDE}
        assert said["phone"]["others"] == [f"{WORKSHOP} (wlan0)"]
    alone = subprocess.run(
        [*workshop.enter, "unshare", "-n", *SHOW, str(model), "--no-open", "--phone"],
        capture_output=True,
        text=True,
    )
    assert alone.returncode == 2 and "in no network" in alone.stderr
