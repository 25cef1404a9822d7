"""A measurement in a process of its own: what it returns, its time, its peak memory, or why there is nothing.

Both sides are here: `in_own_process` starts `python -m bench.own_process MODULE FUNCTION ARGUMENTS`, which calls the function
and prints one line of JSON.
"""

from __future__ import annotations

import contextlib
import json
import os
import resource
import signal
import subprocess
import sys
import time
from dataclasses import asdict, dataclass, field
from importlib import import_module
from typing import Any

from bench.settings import REPOSITORY

Values = dict[str, Any]
KIB_IN_MIB = 1024
SPARE_S = 20
"""Seconds beyond its limit after which a process that does not keep the limit itself is ended."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """`values` is what the function returned; `stopped` says why it did not (empty: it did).

    `wall_s`, `cpu_s` are of the call, children included; `peak_mib` is the process, `child_peak_mib` its largest child.
    """

    values: Values = field(default_factory=dict)
    stopped: str = ""
    wall_s: float | None = None
    cpu_s: float | None = None
    peak_mib: float | None = None
    child_peak_mib: float | None = None


def in_own_process(function: str, arguments: Values, *, limit_s: float, memory_mib: int) -> Measured:
    """Call `module.function` (of this package) with `arguments`; ended, with its children, beyond the limits."""
    module, _, name = function.rpartition(".")
    command = [sys.executable, "-m", "bench.own_process", f"bench.{module}", name, json.dumps(arguments), str(memory_mib)]
    path = os.pathsep.join((str(REPOSITORY / "tests"), str(REPOSITORY)))
    process = subprocess.Popen(
        command,
        cwd=REPOSITORY,
        env={**os.environ, "PYTHONPATH": path},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        printed, complaint = process.communicate(timeout=limit_s + SPARE_S)
    except subprocess.TimeoutExpired:
        return Measured(stopped=f"not within {limit_s:g} s")
    finally:
        _end(process)
    return _told(process.returncode, printed, complaint)


def _end(process: subprocess.Popen[str]) -> None:
    """End what the process has started: all of its own session."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def _told(code: int, printed: str, complaint: str) -> Measured:
    if code != 0:
        last = complaint.strip().splitlines()[-1:] or [f"exit code {code}"]
        return Measured(stopped=f"failed: {last[0][:120]}")
    return Measured(**json.loads(printed.splitlines()[-1]))


# -- inside the process ----------------------------------------------------------------------------------------


def _call(module: str, name: str, arguments: Values, memory_mib: int) -> Measured:
    function = getattr(import_module(module), name)
    most = memory_mib * KIB_IN_MIB * 1024
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    started_s, started_cpu_s = time.perf_counter(), _cpu_s()
    values, stopped = {}, ""
    try:
        values = function(**arguments)
    except MemoryError:
        stopped = f"not within {memory_mib} MiB"
    return Measured(
        values=values,
        stopped=values.pop("stopped", stopped),
        wall_s=time.perf_counter() - started_s,
        cpu_s=_cpu_s() - started_cpu_s,
        peak_mib=_peak_mib(resource.RUSAGE_SELF),
        child_peak_mib=_peak_mib(resource.RUSAGE_CHILDREN),
    )


def _cpu_s() -> float:
    """CPU seconds of this process and of its children that have ended."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(part.ru_utime + part.ru_stime for part in used)


def _peak_mib(who: int) -> float:
    return resource.getrusage(who).ru_maxrss / KIB_IN_MIB


def _main(module: str, name: str, arguments: str, memory_mib: str) -> None:
    measured = _call(module, name, json.loads(arguments), int(memory_mib))
    print(json.dumps(asdict(measured)), flush=True)
    os._exit(0)  # taking apart what a large search has made may take longer than the search; nothing here needs it


if __name__ == "__main__":
    _main(*sys.argv[1:])
