"""Comparisons on a Dask cluster on this computer, with a worker killed in mid-run."""

import os
import signal
import sys
from collections import Counter
from dataclasses import replace

import pytest

from nesting.comparing.cluster import on_cluster
from nesting.comparing.run import compare
from nesting.errors import InputError, InputFileError
from nesting.model.costing import Layer
from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.model.stop import Stop
from tests.handmade import pattern, rectangle

BRIEF = Stop(iterations=10, without_gain=5)
BAND = PlanPiece("band", pattern("band", rectangle(300, 500)), "silk", 3, 0)
SILK = Cloth("silk", 920.0, 10.0, price=20.0, step=100.0)
PLAN = Plan(
    "test", "cm", (SILK, replace(SILK, name="lawn", price=5.0)), (BAND,),
    layers=(Layer("outer", ("silk", "lawn")),),
)  # fmt: skip
WIDTHS = (640.0, 1000.0, 1300.0, 1600.0)


@pytest.fixture
def cluster():
    """Return a local cluster of two workers, each a process of its own."""
    distributed = pytest.importorskip("distributed", reason="Dask is an extra: yardage[cluster]")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as running:
        yield running


@pytest.mark.skipif(sys.platform == "win32", reason="no signal kills a process there")
def test_a_worker_killed_in_mid_run_loses_and_doubles_nothing(cluster):
    """Every candidate is finished once, and as in one process."""
    seen, killed = [], []

    def kill_one(row):
        seen.append(row.number)
        if not killed:
            worker = next(iter(cluster.workers.values()))
            killed.append(worker.process.pid)
            os.kill(worker.process.pid, signal.SIGKILL)

    with on_cluster(cluster.scheduler_address) as (executor, slots):
        assert slots == 2
        found = compare(
            PLAN, stop=BRIEF, widths=WIDTHS, workers=slots, executor=executor, on_row=kill_one
        )
    assert killed
    assert Counter(seen) == Counter(range(10))
    assert not found.unfinished
    alone = compare(PLAN, stop=BRIEF, widths=WIDTHS)
    assert [replace(row, seconds=0.0) for row in found.rows] == [
        replace(row, seconds=0.0) for row in alone.rows
    ]


def test_a_cluster_that_does_not_answer(monkeypatch):
    """Told with its address, and how to write one."""
    pytest.importorskip("distributed", reason="Dask is an extra: yardage[cluster]")
    monkeypatch.setattr("nesting.comparing.cluster._PATIENCE", "1s")
    for address in ("tcp://127.0.0.1:1", "nowhere"):
        with (
            pytest.raises(InputFileError, match="no cluster answers there"),
            on_cluster(address),
        ):
            pass


def test_without_dask_the_extra_is_named(monkeypatch):
    """The remedy is the command that installs it."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(InputError, match=r"pip install 'yardage\[cluster\]'"),
        on_cluster("tcp://127.0.0.1:1"),
    ):
        pass
