"""A sequence as a Promela model in discrete time, and the set of network states that spin's exhaustive search reaches.

One process; an event and what follows at once are one `atomic`; a tick is a transition of its own that no clock at its
latest lets pass. Written from the file's text and the device types' data; what a scan does is said here once more, in
Promela (`spin_scan.py`). Signals with a delay are not supported.
Source of the language: the Promela reference of spin (Holzmann, "The SPIN model checker", 2003; from memory).
"""

from __future__ import annotations

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path

from reference.spin_chosen import names_in
from reference.spin_events import EventText, constant, printed
from reference.spin_names import SpinNames, either
from reference.spin_scan import ScanText
from reference.tick_cells import EXPIRED, HELD, IDLE, RUNNING, Value
from reference.tick_model import Situation

TIMER_STATES = (IDLE, RUNNING, EXPIRED, HELD)
SCANS = ("idle", "after change", "on demand")
LONGEST_RUN_S = 120
"""Seconds that one call of spin, gcc or pan may take."""

ROWS = Path(__file__).with_name("spin_rows.c").resolve()
"""Prints each network state once."""


@dataclass(frozen=True, slots=True)
class SpinModel:
    """Writes the model, and reads what it prints."""

    names: SpinNames

    def promela(self) -> str:
        """The whole model."""
        events = EventText(self.names)
        lines = [*self._declarations(), *ScanText(self.names).text(), *events.instant(), *events.process()]
        return "\n".join(lines) + "\n"

    def _declarations(self) -> list[str]:
        known = constant(self.names)
        lines = [f"#define {name} {value}" for name, value in known.items()]
        lines += ["c_code { extern void show_row(const unsigned char *, int); };"]
        lines += ["unsigned scan : 2 = 1;", "hidden byte changed;", "hidden byte v;", "hidden short m;"]
        for clock, (_, earliest, latest) in EventText(self.names).due_clocks().items():
            lines.append(f"unsigned {clock} : {_bits(earliest if latest is None else latest)};")
        lines += ["byte k_write;"] if self.names.sequence.scan.write.latest_us == 0 else []
        lines.append(f"unsigned left : 1 = {self.names.faults};")
        for name, number in self.names.cells.items():
            lines += [
                f"unsigned c{number} : {_bits(self._most(name))} = {self._encoded(name)};",
                f"hidden byte n{number};",
            ]
            if name in self.names.controller.lengths_us:
                lines.append(f"hidden byte s{number};")
        for chart in self.names.sequence.charts:
            lines.append(f"hidden byte e{self.names.cells[chart.name]};")
        for name in self.names.outputs:
            lines += [f"bit o_{name};", f"bit w_{name};", f"hidden byte n_{name};"]
        for part, start in enumerate(self.names.machine.initial()):
            if part not in self.names.chosen:
                lines.append(
                    f"unsigned p{part} : {_bits(len(self.names.machine.parts[part].positions))} = {start};"
                )
        return [*lines, *self._signals()]

    def _signals(self) -> list[str]:
        lines = []
        chosen = set(self.names.chosen.values())
        for name in self.names.signals:
            lines += [f"bit on_{name};", f"bit off_{name};"] if self.names.faults else []
            lines += (
                [f"bit b_{name};", f"#define matters_{name} {self._matters(name)}"] if name in chosen else []
            )
            body = f"b_{name} == 1" if name in chosen else self._body(name)
            lines.append(f"#define sig_{name} (({body} || on_{name} == 1) && off_{name} == 0)")
        return lines

    def _matters(self, signal: str) -> str:
        """Where a read looks at a chosen input: in steps whose ways out name it, and where it can clear an alarm that is on."""
        cells, sequence = self.names.cells, self.names.sequence
        blocks = [call.operand for owned in self.names.controller.blocks.values() for call, _, _ in owned]
        if any(signal in names_in(operand) for operand in blocks):
            return "(1)"
        found = [
            f"c{cells[chart.name]} == {number}"
            for chart in sequence.charts
            for number, step in enumerate(chart.steps)
            if any(signal in names_in(way.condition) for way in chart.transitions_of(step))
        ]
        found += [
            f"c{cells[alarm.name]} == 1" for alarm in sequence.alarms if signal in names_in(alarm.clear)
        ]
        return either(found)

    def _most(self, cell: str) -> int:
        if cell in self.names.controller.lengths_us:
            return len(TIMER_STATES)
        return max(
            [len(chart.steps) for chart in self.names.sequence.charts if chart.name == cell], default=1
        )

    def _encoded(self, name: str) -> int:
        value = self.names.controller.initial[name]
        if name in self.names.controller.lengths_us:
            return TIMER_STATES.index(str(value))
        return self.names.step_number(name, value) if isinstance(value, str) else int(value)

    def _body(self, signal: str) -> str:
        return either(
            f"p{number} == {index}"
            for number, part in enumerate(self.names.machine.parts)
            for wire in part.wires
            if wire.signal.name == signal
            for index, position in enumerate(part.positions)
            if wire.role in position.signals
        )

    def situation(self, numbers: list[int]) -> Situation:
        """A printed state in the words of the tick search."""
        value = dict(zip(printed(self.names), numbers, strict=True))
        on = frozenset(name for name in self.names.signals if value[f"on_{name}"])
        off = frozenset(name for name in self.names.signals if value[f"off_{name}"])
        plant = tuple(value[f"p{part}"] for part in range(len(self.names.machine.parts)))
        return Situation(
            memory=tuple(
                self._decoded(name, value[f"c{number}"]) for name, number in self.names.cells.items()
            ),
            computed=frozenset(name for name in self.names.outputs if value[f"o_{name}"]),
            written=frozenset(name for name in self.names.outputs if value[f"w_{name}"]),
            scan=SCANS[value["scan"]],
            plant=plant,
            stuck_on=on,
            stuck_off=off,
            seen=(self.names.machine.raw_signals(plant) | on) - off,
            left=value["left"],
        )

    def _decoded(self, name: str, value: int) -> Value:
        if name in self.names.controller.lengths_us:
            return TIMER_STATES[value]
        chart = next((chart for chart in self.names.sequence.charts if chart.name == name), None)
        return chart.steps[value].name if chart is not None else value != 0


def _bits(most: int) -> int:
    """Bits for values up to `most`."""
    return max(most.bit_length(), 1)


class SpinError(Exception):
    """Spin, gcc or pan did not do what was asked; the text says what they said."""


def spin_situations(model: SpinModel, folder: Path) -> set[Situation]:
    """Every situation that spin's exhaustive search of the model reaches; works in `folder`.

    Raises SpinError if the search did not finish, or ran out of a limit.
    """
    (folder / "model.pml").write_text(model.promela(), encoding="utf-8")
    _run(["spin", "-a", "model.pml"], folder)
    _run(
        ["gcc", "-O1", "-w", "-DSAFETY", "-DNOREDUCE", "-DMEMLIM=2000", "-o", "pan", "pan.c", str(ROWS)],
        folder,
    )
    printed = _run(["./pan", "-m1000000", "-w22", "-E"], folder)
    if "max search depth too small" in printed or not re.search(r"errors: 0\b", printed):
        raise SpinError(printed[-2_000:])
    lines = {line for line in printed.splitlines() if line.startswith("S ")}
    return {model.situation([int(number) for number in line.split()[1:]]) for line in lines}


def _run(command: list[str], folder: Path) -> str:
    done = subprocess.run(
        command, cwd=folder, capture_output=True, text=True, timeout=LONGEST_RUN_S, check=False
    )
    if done.returncode != 0:
        raise SpinError(f"{command[0]}: {done.stdout[-2_000:]} {done.stderr[-2_000:]}")
    return done.stdout
