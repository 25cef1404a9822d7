"""spin's exhaustive search of a widened copy (tests/reference/spin_model.py): generate, compile, run, each timed.

The model is the one whose states the tests compare, but it does not print them: printing would take most of the time.
"""

from __future__ import annotations

import re
import subprocess
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from bench.own_process import Values
from bench.subjects import widened_copy
from reference.spin_model import SpinModel
from reference.spin_names import SpinNames

from seqcheck.language.sequence import Sequence

PRINTING = "c_code { printf("
UNUSED = "byte left = 0;"
"""Without faults and without printing nothing uses it, and then pan, which has a `left` of its own, does not compile."""
DEPTH = 10_000_000
"""Longest path that pan's search may follow; it says so if that was too little."""


class _StoppedError(Exception):
    """A program did not do its part; the text says why."""


@dataclass(slots=True)
class _Spin:
    """One search under way: its folder, its deadline, and how long each part took. Mutable; owned by `searched`."""

    folder: Path
    limit_s: float
    memory_mib: int
    started_s: float = field(default_factory=time.perf_counter)
    seconds: dict[str, float] = field(default_factory=dict)
    printed: str = ""

    def run(self, part: str, command: list[str]) -> None:
        """Run one program within what is left of the limit."""
        began_s = time.perf_counter()
        left_s = self.limit_s - (began_s - self.started_s)
        try:
            done = subprocess.run(
                command, cwd=self.folder, capture_output=True, text=True, timeout=max(left_s, 0.1), check=False
            )
        except subprocess.TimeoutExpired as expired:
            self.printed = (expired.stdout or b"").decode(errors="replace")
            raise _StoppedError(f"not within {self.limit_s:g} s ({part})") from None
        finally:
            self.seconds[part] = self.seconds.get(part, 0.0) + time.perf_counter() - began_s
        self.printed = done.stdout
        if done.returncode != 0 and "MEMLIM" not in done.stdout:
            raise _StoppedError(f"failed: {part}: {(done.stderr or done.stdout).strip()[-100:]}")

    def search(self, model: str) -> None:
        """From the model's text to the end of pan. Raises _StoppedError where a limit was reached."""
        (self.folder / "model.pml").write_text(model, encoding="utf-8")
        self.run("generate", ["spin", "-a", "model.pml"])
        options = ["-O1", "-w", "-DSAFETY", "-DNOREDUCE", f"-DMEMLIM={self.memory_mib}"]
        self.run("compile", ["gcc", *options, "-o", "pan", "pan.c"])
        self.run("run", ["./pan", f"-m{DEPTH}", "-w24", "-E"])
        if "MEMLIM" in self.printed:
            raise _StoppedError(f"not within {self.memory_mib} MiB")
        if "max search depth too small" in self.printed:
            raise _StoppedError(f"deeper than {DEPTH:,} events")
        if not re.search(r"errors: 0\b", self.printed):
            raise _StoppedError(f"failed: {self.printed.strip()[-100:]}")

    @property
    def states(self) -> int | None:
        """States stored, or the last count that pan told before it was ended."""
        found = re.search(r"([\d.e+]+) states, stored", self.printed)
        counts = [found.group(1)] if found else re.findall(r"States=\s*([\d.e+]+)", self.printed)
        return round(float(counts[-1])) if counts else None


def searched(subject: str, faults: int, tick_us: int, limit_s: float, memory_mib: int) -> Values:
    """Every state of the model in ticks of `tick_us`."""
    sequence = widened_copy(subject)
    with tempfile.TemporaryDirectory() as folder:
        spin = _Spin(Path(folder), limit_s, memory_mib)
        stopped = ""
        try:
            spin.search(_promela(sequence, faults, tick_us, spin))
        except _StoppedError as reason:
            stopped = str(reason)
        return {"count": spin.states, "network_states": None, "seconds": spin.seconds, "stopped": stopped}


def _promela(sequence: Sequence, faults: int, tick_us: int, spin: _Spin) -> str:
    """The model without printing. Raises _StoppedError if it cannot be written."""
    began_s = time.perf_counter()
    try:
        lines = SpinModel(SpinNames(sequence, faults, tick_us)).promela().splitlines()
    except NotImplementedError as lack:
        raise _StoppedError(f"the model has no {lack}") from None
    silent = [line for line in lines if not line.startswith(PRINTING)]
    if len(lines) - len(silent) != 1:
        raise _StoppedError(f"failed: {len(lines) - len(silent)} lines print in the model, not one")
    if UNUSED in silent:
        silent.remove(UNUSED)
    spin.seconds["generate"] = time.perf_counter() - began_s
    return "\n".join(silent) + "\n"
