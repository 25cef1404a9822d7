"""Files spread over processes of this machine, and over a cluster whose executor is handed in."""

from concurrent.futures import ProcessPoolExecutor

import pytest
from gate.workshop import PRESS

from seqcheck.cli.gate_drawing import drawing_digests
from seqcheck.gate.job import Job
from seqcheck.gate.sources import Sources
from seqcheck.gate.spread import run_jobs

JOBS = [
    Job(sources=Sources(f"{longest}.yaml", ((f"{longest}.yaml", PRESS.replace("120..250", f"120..{longest}")),)))
    for longest in (200, 250, 300)
]


def test_processes_give_what_one_process_gives() -> None:
    with ProcessPoolExecutor(max_workers=2) as executor:
        assert run_jobs(JOBS, drawing_digests, executor=executor) == run_jobs(JOBS, drawing_digests)


@pytest.mark.filterwarnings("default")  # of the cluster's own libraries
def test_a_cluster_gives_what_one_process_gives() -> None:
    """`Client.get_executor()` of dask.distributed has the interface of concurrent.futures; nothing of ours knows it."""
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None, processes=True) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = run_jobs(JOBS, drawing_digests, executor=client.get_executor())
    assert found == run_jobs(JOBS, drawing_digests)
