"""How fast, how large, and beside what: `python tests/bench/bench.py [--quick] [--only NAME ...] [--json PATH]`.

Prints tables, the same as JSON where asked. Nothing is asserted: a figure belongs to the machine and the hour it was measured
on, which the first line names. pytest does not collect it. Needs the `test` extra; spin and gcc for part `outside`.

Parts (`--only`, repeatable; default: all):
  flagship    all requirements without fault and as stated, with one process and with two
  two_faults  its safety requirements under any two faults, up to --seconds
  memory      bytes a class, extrapolated to a million classes
  outside     the same work by spin and by brute force in ticks, each within --limit seconds
  start_up    `seqcheck --help` and `import seqcheck`
  simulate    concrete runs a second, beside simpy's plain timeouts
  gate        1,000 generated files on one core, two, a local cluster of dask; what an unchanged file costs
  adequacy    every change of the bundled splices tried with any one fault; with --quick every twentieth
  monte_carlo 10,000 splices with full physics, beside scipy's solve_ivp and simpy on fewer, scaled

Every measurement but start-up runs in a process of its own; CPU seconds are its own and its children's, so a busy machine
spoils them less than wall seconds. `--quick` takes some minutes and says less; with the limits as they stand the whole may
take an hour or more. `--help` lists the rest.
"""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

if __name__ == "__main__":
    # Started as a script, this folder comes first on the path and this file would be taken for the package `bench`.
    sys.path[:1] = [str(Path(__file__).resolve().parents[up]) for up in (1, 2)]
    sys.exit(import_module("bench.command").main(__doc__))
