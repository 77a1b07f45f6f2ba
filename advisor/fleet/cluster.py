"""Partitions shared out over a Dask cluster; a process that dies has its partitions done by the others."""

from __future__ import annotations

import logging
import signal
from asyncio import CancelledError
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from itertools import islice

import dask
from distributed import Client, KilledWorker, LocalCluster, as_completed
from distributed.comm.core import CommClosedError

from advisor.fleet.dataset import PartDone, Partition, PartWork
from advisor.model.problems import Place, Problem, Problems, shown

BEGUN_HERE = "local"
SECONDS_TO_ANSWER = 20
_AHEAD = 4
_LOST = (CommClosedError, CancelledError, TimeoutError)


@contextmanager
def cluster_client(address: str, cores: int) -> Iterator[Client]:
    """A client of the cluster at an address, or of one begun here of so many processes. Raises Problems."""
    dask.config.set({"distributed.comm.timeouts.connect": f"{SECONDS_TO_ANSWER}s"})
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    if address == BEGUN_HERE:
        with _begun_here(cores) as cluster, Client(cluster) as client:
            yield client
        return
    try:
        client = Client(address, timeout=SECONDS_TO_ANSWER)
    except (OSError, ValueError, TypeError) as error:
        raise _no_cluster(address, f"no cluster that answers: {shown(str(error), 120)}") from None
    with client:
        try:
            client.wait_for_workers(1, timeout=SECONDS_TO_ANSWER)
        except TimeoutError:
            raise _no_cluster(address, "a cluster without any process that works") from None
        yield client


def _begun_here(cores: int) -> LocalCluster:
    """A cluster on this machine; its processes leave Ctrl-C to the one that began them."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        return LocalCluster(
            n_workers=cores, threads_per_worker=1, processes=True, dashboard_address="127.0.0.1:0", silence_logs=50
        )
    finally:
        signal.signal(signal.SIGINT, before)


def each_part(client: Client, work: PartWork, parts: Sequence[Partition]) -> Iterator[PartDone]:
    """What comes of each partition, as it comes. Few are given out ahead. Raises Problems."""
    waiting = iter(parts)
    ahead = _AHEAD * max(1, sum(client.nthreads().values()))
    running = as_completed([_begun(client, work, part) for part in islice(waiting, ahead)])
    try:
        for future in running:
            yield future.result()
            for part in islice(waiting, 1):
                running.add(_begun(client, work, part))
    except KilledWorker:
        raise _stopped("processes of the cluster that ended again and again over the same partition") from None
    except _LOST:
        raise _stopped("a cluster that went away") from None
    except (OSError, RuntimeError) as error:
        raise _stopped(f"a process of the cluster that failed: {shown(str(error), 200)}") from None
    finally:
        with suppress(*_LOST, RuntimeError):
            client.cancel(list(running.futures), force=True)


def _begun(client: Client, work: PartWork, part: Partition) -> object:
    return client.submit(work, part, key=f"{work.run}-{part.number}", pure=False)


def _no_cluster(address: str, found: str) -> Problems:
    do = "start one (dask scheduler, dask worker) and name its address, or take --cluster local"
    return Problems([Problem("no-cluster", Place("--cluster"), f'"{shown(address, 80)}": {found}', "a cluster", do)])


def _stopped(found: str) -> Problems:
    do = "give the same command once more: what is written stays, and it goes on with the rest"
    return Problems([Problem("cluster-stopped", Place("--cluster"), found, "a run that goes on to its end", do)])
