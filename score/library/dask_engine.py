"""Work spread over a cluster by dask: a scheduler somewhere else, or one that is started here.

The scheduler's port takes programs from whoever reaches it, so one on another machine is only spoken to through TLS.
The bytes of a score go with its work: nobody there needs the folder.
"""

import logging
import warnings
from collections.abc import Iterable, Iterator
from concurrent.futures import CancelledError
from contextlib import suppress
from ipaddress import ip_address
from itertools import count, islice
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from score.errors import RequestError
from score.library.score_work import ReadWork, ScoreLine, ScoreWork
from score.library.spreading import Suspect
from score.processes import interrupts_held

_WAIT_SECONDS = 10
_HERE = "127.0.0.1"
_CERTIFICATES = {"tls_ca_file": "ca.pem", "tls_client_cert": "cert.pem", "tls_client_key": "key.pem"}
SCHEDULER = {
    "distributed.scheduler.allowed-failures": 0,
    # With more, works that only wait at a process would be blamed with the one it does.
    "distributed.scheduler.worker-saturation": 1.0,
    "distributed.worker.memory.terminate": False,
    # Processes that ended come again within seconds. Where none does, nothing would ever come.
    "distributed.scheduler.no-workers-timeout": "60 s",
}
_NOBODY = ("NoWorkerError", "NoValidWorkerError")
"""What the scheduler says of a work that waited so long for a process."""


class DaskEngine:
    """Processes of a cluster.

    Args:
        address: of its scheduler; "" starts one of this machine's cores.
        certificates: folder with ca.pem, cert.pem and key.pem for a scheduler that is spoken to through TLS.
        workers: processes to start without an address; as many as there are cores when it is 0.

    Raises:
        RequestError: dask is not installed, the address is not safe or does not answer.
    """

    def __init__(self, address: str = "", certificates: Path | None = None, workers: int = 0) -> None:
        check_address(address, certificates)
        try:
            import dask
            from distributed import Client, LocalCluster
        except ImportError:
            raise RequestError(
                "No cluster", "dask is not installed", "install inbreath[cluster], or read with this machine alone"
            ) from None
        logging.getLogger("distributed").setLevel(logging.CRITICAL)
        # A large score is what it is; it goes with its work all the same.
        warnings.filterwarnings("ignore", "Sending large graph", UserWarning)
        self._cluster, self._names = None, count()
        if not address:
            with dask.config.set(SCHEDULER), interrupts_held():
                self._cluster = LocalCluster(
                    n_workers=workers or None,
                    threads_per_worker=1,
                    processes=True,
                    host=_HERE,
                    dashboard_address=None,
                    # It answers on a port even without a dashboard: any that is free.
                    scheduler_kwargs={"dashboard_address": f"{_HERE}:0"},
                    silence_logs=logging.CRITICAL,
                )
        self._client = _client(Client, self._cluster or address, address, certificates)
        self.workers = max(1, len(self._client.scheduler_info(n_workers=-1)["workers"]))

    def run(self, works: Iterable[ScoreWork], read: ReadWork) -> Iterator[ScoreLine | Suspect]:
        """As `Engine.run`."""
        from distributed import as_completed

        left = iter(works)
        out = {self._sent(work, read): work for work in islice(left, 2 * self.workers)}
        coming = as_completed(list(out), loop=self._client.loop)
        for future in coming:
            work = out.pop(future)
            yield _answer(future) or Suspect(work)
            for following in islice(left, 1):
                new = self._sent(following, read)
                out[new] = following
                coming.add(new)

    def alone(self, work: ScoreWork, read: ReadWork) -> ScoreLine | None:
        """As `Engine.alone`."""
        return _answer(self._sent(work, read))

    def close(self) -> None:
        """Leave the cluster; end the one that was started here."""
        with suppress(Exception):
            self._client.close()
            if self._cluster is not None:
                self._cluster.close()

    def _sent(self, work: ScoreWork, read: ReadWork) -> Any:
        return self._client.submit(read, work, key=f"{work.path}-{next(self._names)}", pure=False)


def check_address(address: str, certificates: Path | None) -> None:
    """Refuse an address that scores and programs would go to in the clear.

    Raises:
        RequestError: another machine without TLS, or certificates that are not there.
    """
    parts = urlsplit(address if "://" in address else f"tcp://{address}")
    if address and (parts.scheme not in ("tcp", "tls") or not parts.hostname):
        raise RequestError("Not a scheduler", f"{address!r} is no address", "write tls://name:8786")
    if parts.scheme == "tcp" and parts.hostname and not _is_here(parts.hostname):
        raise RequestError(
            "Cluster without TLS",
            f"{address} is another machine, and whoever reaches its port runs programs there",
            "start its scheduler with TLS and write tls://name:8786",
        )
    missing = [
        name for name in _CERTIFICATES.values() if certificates is not None and not (certificates / name).is_file()
    ]
    if parts.scheme == "tls" and certificates is None:
        missing = list(_CERTIFICATES.values())
    if missing:
        where = f"{certificates} has no {', '.join(missing)}" if certificates else f"{address} wants certificates"
        raise RequestError("No certificates", where, "name a folder with ca.pem, cert.pem and key.pem")


def _is_here(host: str) -> bool:
    with suppress(ValueError):
        return ip_address(host).is_loopback
    return host.lower() == "localhost"


def _client(client: Any, scheduler: Any, address: str, certificates: Path | None) -> Any:
    security = None
    if certificates is not None:
        from distributed import Security

        files = {kind: str(certificates / name) for kind, name in _CERTIFICATES.items()}
        security = Security(require_encryption=True, **files)
    try:
        return client(scheduler, timeout=_WAIT_SECONDS, security=security, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise RequestError(
            "Cluster does not answer", f"nothing speaks at {address}", "check the address, and that it runs"
        ) from error


def _answer(future: Any) -> ScoreLine | None:
    """What came of a work; None when the process it was in has ended.

    Raises:
        RequestError: the cluster has gone.
    """
    from distributed import KilledWorker

    try:
        error = future.exception()
    except CancelledError:
        raise RequestError("Cluster has gone", "the scheduler ended", "start it again; what was read stays") from None
    if isinstance(error, KilledWorker):
        return None
    if type(error).__name__ in _NOBODY:
        raise RequestError("Cluster has no worker", "all of them have gone", "start it again; what was read stays")
    if error is not None:
        raise RequestError("Cluster cannot read", f"{type(error).__name__}: {error}", "install inbreath there, too")
    line: ScoreLine = future.result()
    return line
