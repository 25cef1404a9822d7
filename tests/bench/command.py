"""The command line of the benchmark: which parts, how much, and where the figures go."""

from __future__ import annotations

import argparse
import json
import os
import platform
from collections.abc import Callable
from pathlib import Path

from bench.adequacy import adequacy_table
from bench.flagship import flagship_table, two_faults_table
from bench.gate import gate_tables
from bench.memory import memory_table
from bench.monte_carlo import monte_carlo_table
from bench.outside import outside_tables
from bench.settings import Settings
from bench.simulate import simulate_table
from bench.start_up import start_up_table
from bench.table import Table

PARTS: dict[str, Callable[[Settings], tuple[Table, ...]]] = {
    "flagship": lambda settings: (flagship_table(settings),),
    "two_faults": lambda settings: (two_faults_table(settings),),
    "memory": lambda settings: (memory_table(settings),),
    "outside": outside_tables,
    "start_up": lambda settings: (start_up_table(settings),),
    "simulate": lambda settings: (simulate_table(settings),),
    "gate": gate_tables,
    "adequacy": lambda settings: (adequacy_table(settings),),
    "monte_carlo": lambda settings: (monte_carlo_table(settings),),
}


def main(description: str | None) -> int:
    """Measure what was asked and print it, each part as soon as it is known; the exit code."""
    asked = _parser(description).parse_args()
    settings = _settings(asked)
    machine = _machine()
    print(", ".join(f"{name} {value}" for name, value in machine.items()), flush=True)
    tables: list[Table] = []
    for name in asked.only or PARTS:
        for table in PARTS[name](settings):
            tables.append(table)
            print(f"\n{table.text()}", flush=True)
            _write(asked.json, machine, tables)
    return 1 if any("failed" in str(value) for table in tables for row in table.rows for value in row) else 0


def _parser(description: str | None) -> argparse.ArgumentParser:
    usual = Settings()
    parser = argparse.ArgumentParser(
        prog="bench.py", description=description, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--only", action="append", choices=tuple(PARTS), metavar="NAME", help="a part (repeatable)")
    parser.add_argument("--quick", action="store_true", help="small sizes and short limits")
    parser.add_argument("--seconds", type=float, default=usual.two_faults_s, help="limit for any two faults (%(default)s)")
    parser.add_argument("--limit", type=float, default=usual.limit_s, help="seconds for each outside case (%(default)s)")
    parser.add_argument("--memory-mib", type=int, default=usual.memory_mib, help="for each process (%(default)s)")
    parser.add_argument("--jobs", type=int, default=usual.jobs, help="processes for any two faults (%(default)s)")
    parser.add_argument("--classes", type=int, default=usual.classes, help="classes of part memory (%(default)s)")
    parser.add_argument("--try-all", action="store_true", help="outside: also what is larger than what was too much")
    parser.add_argument("--json", type=Path, metavar="PATH", help="write the tables as JSON too")
    return parser


def _settings(asked: argparse.Namespace) -> Settings:
    return Settings(
        is_quick=asked.quick,
        two_faults_s=asked.seconds,
        limit_s=asked.limit,
        memory_mib=asked.memory_mib,
        jobs=asked.jobs,
        classes=asked.classes,
        tries_all=asked.try_all,
    )


def _machine() -> dict[str, str | int | float]:
    """What the figures belong to. The load says how many others wanted the cores in the last minute."""
    return {
        "python": platform.python_version(),
        "system": f"{platform.system()} {platform.machine()}",
        "cores": os.cpu_count() or 1,
        "load": round(os.getloadavg()[0], 1),
    }


def _write(path: Path | None, machine: dict[str, str | int | float], tables: list[Table]) -> None:
    if path is not None:
        data = {"machine": machine, "tables": [table.data() for table in tables]}
        path.write_text(json.dumps(data, indent=2) + "\n", encoding="utf-8")
