"""Workers of a Dask cluster, on this machine or on others; needs the extra `cluster`."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Future
from contextlib import ExitStack, contextmanager
from typing import Any, Generic

from acoustics.conventions import RoundoverError
from acoustics.studies.workers.local_workers import Answer, Asked

LOCAL = "local"
"""In place of an address: a cluster of this machine's own."""

PATIENCE = 10
"""seconds that an address is given to answer"""


class ClusterWorkers(Generic[Asked, Answer]):
    """The workers that a Dask client knows, each doing one `work` per thread."""

    def __init__(self, client: Any, where: str, work: Callable[[Asked], Answer]) -> None:
        self._client, self._where, self._work = client, where, work
        self._tasks = client.get_executor(pure=False)
        self.count = sum(client.nthreads().values())
        if self.count == 0:
            raise RoundoverError(
                f"the cluster at {where} has no workers; start some, such as "
                f"`dask worker {where} --nthreads 1`, and run the sweep again"
            )

    def submit(self, asked: Asked) -> Future[Answer]:
        """Have something done; Dask gives it to another worker if one is lost."""
        with warnings.catch_warnings():
            # A solved field is sent along with what is asked; that is meant.
            warnings.filterwarnings("ignore", message="Sending large graph")
            task: Future[Answer] = self._tasks.submit(self._work, asked)
        return task

    def renew(self, error: BaseException) -> None:
        """Tell what went wrong; Dask itself has made good what could be made good."""
        from distributed import KilledWorker
        from distributed.comm.core import CommClosedError

        if isinstance(error, KilledWorker):
            raise RoundoverError(
                f"workers at {self._where} were killed again and again at one block, perhaps for "
                "want of memory; what is done is kept: run the sweep again"
            ) from error
        if isinstance(error, CommClosedError | CancelledError | TimeoutError | OSError):
            raise RoundoverError(
                f"the cluster at {self._where} is gone; what is done is kept: run the sweep again "
                "when it is back"
            ) from error
        if isinstance(error, ImportError | AttributeError):
            raise RoundoverError(
                f"a worker at {self._where} cannot run the sweep ({error}); install the same "
                "version of roundover on all workers"
            ) from error
        raise error

    def end(self) -> None:
        """Take back what is not done."""
        self._tasks.shutdown(wait=False)


@contextmanager
def cluster_workers(
    address: str, count: int, work: Callable[[Asked], Answer]
) -> Iterator[ClusterWorkers[Asked, Answer]]:
    """Connect to a cluster.

    Args:
        address: of its scheduler, such as "tcp://10.0.0.5:8786", or "local" for a cluster of
            `count` processes on this machine.
        count: see above.
        work: what they do, a function of a module that they have, too.

    Raises:
        RoundoverError: Dask is not installed, the address cannot be reached, no workers.
    """
    try:
        from distributed import Client, LocalCluster
    except ImportError as error:
        raise RoundoverError(
            "--cluster needs Dask; install it with `pip install 'roundover[cluster]'`"
        ) from error
    with ExitStack() as stack:
        if address == LOCAL:
            cluster = LocalCluster(
                n_workers=count,
                threads_per_worker=1,
                dashboard_address=None,
                silence_logs=logging.ERROR,
            )
            client = Client(stack.enter_context(cluster))
        else:
            client = _connect(Client, address)
        stack.enter_context(client)
        workers = ClusterWorkers(client, address, work)
        stack.callback(workers.end)
        yield workers


def _connect(client: Any, address: str) -> Any:
    try:
        return client(address, timeout=PATIENCE)
    except (OSError, TimeoutError, ValueError) as error:
        raise RoundoverError(
            f"the cluster at {address} cannot be reached ({error}); give the address of a running "
            'scheduler, such as "tcp://10.0.0.5:8786", or "local" for one on this machine'
        ) from error
