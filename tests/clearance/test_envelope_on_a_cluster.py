"""The envelope on a real Dask cluster of two worker processes, also when one of them is lost midway."""

from __future__ import annotations

import json
import os
import signal

import pytest
from click.testing import CliRunner

import posekit
from posekit.clearance import envelope
from posekit.cli import main
from posekit.cli.workers import workers
from tests.conftest import demo_prop

distributed = pytest.importorskip("distributed")
pytestmark = pytest.mark.native


@pytest.fixture(scope="module")
def cluster():
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as running:
        yield running


@pytest.fixture(scope="module")
def heron():

    return demo_prop("heron")


@pytest.fixture(scope="module")
def pairs(heron):
    """Pairs that take several steps each."""
    return [pair for pair in posekit.clearance.pairs(heron) if "jaw" in pair][:5]


@pytest.fixture(scope="module")
def alone(heron, pairs):
    return envelope(heron, pairs=pairs)


def test_two_workers_find_what_one_process_finds(cluster, heron, pairs, alone):
    with workers(1, cluster.scheduler_address) as executor:
        assert envelope(heron, pairs=pairs, executor=executor) == alone


def test_the_command_takes_a_scheduler_address(cluster, tmp_path, arm_text):
    (tmp_path / "prop.toml").write_text(arm_text)
    done = CliRunner().invoke(
        main, ["envelope", str(tmp_path), "--dask", cluster.scheduler_address, "--json"]
    )
    assert done.exit_code == 0, done.output
    assert json.loads(done.output)["prop"] == "Arm"


def test_an_address_where_nobody_answers_is_told(tmp_path, arm_text):
    (tmp_path / "prop.toml").write_text(arm_text)
    done = CliRunner().invoke(main, ["envelope", str(tmp_path), "--dask", "nowhere"])
    assert done.exit_code == 2
    assert "no Dask scheduler" in done.output


def test_a_worker_killed_in_the_middle_changes_nothing(cluster, heron, pairs, alone):
    """The last: the cluster that all share is not what it was."""
    killed = []

    def kill_one(state):
        if not killed:
            first = next(iter(cluster.workers.values()))
            killed.append(first.pid)
            os.kill(first.pid, signal.SIGKILL)

    with workers(1, cluster.scheduler_address) as executor:
        found = envelope(heron, pairs=pairs, executor=executor, progress=kill_one)
    assert killed
    assert found == alone
