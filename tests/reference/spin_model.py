"""A sequence as a Promela model in discrete time, and the set of network states that spin's exhaustive search reaches.

One process; an event and what follows at once are one `atomic`; a tick is a transition of its own that no clock at its latest lets pass. Written from
the file's text and the device types' data (`TickController` and `TickMachine` only give names and numbers); what a scan does is
said here once more, in Promela. Signals with a delay are not supported.
Source of the language: the Promela reference of spin (Holzmann, "The SPIN model checker", 2003; from memory).
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from reference.tick_controller import EXPIRED, HELD, IDLE, ON_LEAVING, ON_RESET, RUNNING, SET_OFF, STORED, StepAction, TickController, Value
from reference.tick_machine import TickMachine
from reference.tick_search import Situation

from seqcheck.language.expression import And, Constant, EdgeCall, Expression, Name, Not, Or, StepTime, TimerCall, Xor
from seqcheck.language.sequence import Chart, Sequence, Step
from seqcheck.plant.behaviour import Move
from seqcheck.quantities.time import TimeRange

TIMER_STATES = (IDLE, RUNNING, EXPIRED, HELD)
SCANS = ("idle", "after change", "on demand")
LONGEST_RUN_S = 120
"""Seconds that one call of spin, gcc or pan may take."""

Leaf = Callable[[Expression], str]


def _either(parts: Iterable[str]) -> str:
    return "(" + (" || ".join(parts) or "0") + ")"


def _text(expression: Expression, leaf: Leaf) -> str:
    """A condition in Promela."""
    match expression:
        case Constant(value=value):
            return str(int(value))
        case Not(operand=operand):
            return f"(!{_text(operand, leaf)})"
        case And(operands=operands):
            return "(" + " && ".join(_text(part, leaf) for part in operands) + ")"
        case Or(operands=operands):
            return _either(_text(part, leaf) for part in operands)
        case Xor(operands=operands):
            return "(((" + " + ".join(f"({_text(part, leaf)} -> 1 : 0)" for part in operands) + ") % 2) == 1)"
    return leaf(expression)


@dataclass(slots=True)
class SpinModel:
    """The names and numbers that the Promela text is made of."""

    sequence: Sequence
    faults: int
    tick_us: int
    controller: TickController = field(init=False)
    machine: TickMachine = field(init=False)
    cells: dict[str, int] = field(init=False)
    outputs: tuple[str, ...] = field(init=False)
    signals: tuple[str, ...] = field(init=False)
    clocks: dict[tuple[int, str, TimeRange], int] = field(default_factory=dict)
    """Clock of a timed move: part, name of the move, range."""

    def __post_init__(self) -> None:
        """Number everything."""
        self.controller, self.machine = TickController(self.sequence), TickMachine(self.sequence)
        self.cells = {name: number for number, name in enumerate(self.controller.names)}
        wires = [wire.signal for part in self.machine.parts for wire in part.wires]
        if any(signal.delay is not None for signal in wires):
            raise NotImplementedError("signals with a delay")
        self.signals = tuple(dict.fromkeys(signal.name for signal in wires))
        written = [part.action.variable for part in self.controller.actions]
        self.outputs = tuple(dict.fromkeys(name for name in written if name not in self.cells))
        for number, part in enumerate(self.machine.parts):
            for position in part.positions:
                for move in position.moves:
                    if move.after is not None:
                        self.clocks.setdefault((number, move.name, move.after), len(self.clocks))

    # -- expressions -------------------------------------------------------------------------------------------

    def ticks(self, time_us: int | None) -> int:
        """A time in whole ticks."""
        assert time_us is not None
        assert time_us % self.tick_us == 0, f"{time_us} us is no whole number of ticks"
        return time_us // self.tick_us

    def step_number(self, chart: str, step: str) -> int:
        """The number of a step in its chart."""
        return [part.name for part in self.sequence.chart(chart).steps].index(step)

    def is_in(self, chart: str, step: str) -> str:
        """The step is active, as of now in a scan."""
        return f"(n{self.cells[chart]} == {self.step_number(chart, step)})"

    def in_scan(self, expression: Expression) -> str:
        """A condition of the controller while it scans."""
        return _text(expression, self._scan_leaf)

    def _scan_leaf(self, expression: Expression) -> str:
        match expression:
            case Name(text=text):
                return self._scan_name(text)
            case StepTime(step=step, at_least=at_least, limit_us=limit_us):
                timer = self.cells[f"{step}.T reaches its limit @{limit_us}"]
                chart, _, short = step.partition(".")
                return f"(n{timer} == 2)" if at_least else f"({self.is_in(chart, short)} && n{timer} != 2)"
            case TimerCall() | EdgeCall():
                return f"(n{self.cells[self.controller.output_of(expression)]} == 1)"
        raise AssertionError(expression)

    def _scan_name(self, text: str) -> str:
        owner, _, last = text.rpartition(".")
        chart, _, step = owner.partition(".")
        if last == "X" and owner:
            return self.is_in(chart, step)
        if last == "late" and owner:
            return f"(n{self.cells[self.controller.step_timers[chart, step][0]]} == 2)"
        if text in self.cells:
            return f"(c{self.cells[text]} == 1)"
        return f"sig_{text}" if text in self.signals else f"(w_{text} == 1)"

    def _wired_leaf(self, expression: Expression) -> str:
        assert isinstance(expression, Name)
        text = expression.text
        if text in self.signals:
            return f"sig_{text}"
        if text in self.outputs:
            return f"(w_{text} == 1)"
        device, _, fact = text.partition(".")
        number = [part.device for part in self.machine.parts].index(device) if fact else -1
        return self._positions_with(number, fact) if fact else "0"  # an output that nothing writes is off

    def _positions_with(self, part: int, fact: str) -> str:
        numbers = [number for number, position in enumerate(self.machine.parts[part].positions) if fact in position.facts]
        return _either(f"p{part} == {number}" for number in numbers)

    def when(self, part: int, position: int, move: Move) -> str:
        """The part is at `position` and the drives let `move` happen."""
        conditions = {drive.role: drive.condition for drive in self.machine.parts[part].drives}
        wanted = [f"({_text(conditions[role], self._wired_leaf)}) == {int(value)}" for role, value in move.when]
        return " && ".join([f"p{part} == {position}", *(f"({text})" for text in wanted)])

    # -- the text ----------------------------------------------------------------------------------------------

    def promela(self) -> str:
        """The whole model."""
        return "\n".join([*self._declarations(), *self._scan(), *self._instant(), *self._process()]) + "\n"

    def _declarations(self) -> list[str]:
        lines = ["byte scan = 1;", "byte k_read;", "byte k_write;", f"byte left = {self.faults};", "hidden byte changed;", "hidden byte v;"]
        for name, number in self.cells.items():
            lines += [f"byte c{number} = {self._encoded(name)};", f"hidden byte n{number};"]
            if name in self.controller.lengths_us:
                lines += [f"byte t{number};", f"hidden byte s{number};"]
        for chart in self.sequence.charts:
            lines.append(f"hidden byte e{self.cells[chart.name]};")
        for name in self.outputs:
            lines += [f"byte o_{name};", f"byte w_{name};", f"hidden byte n_{name};"]
        lines += [f"byte p{part} = {start};" for part, start in enumerate(self.machine.initial())]
        lines += [f"byte k{number};" for number in self.clocks.values()]
        for name in self.signals:
            lines += [f"byte on_{name};", f"byte off_{name};", f"#define sig_{name} (({self._body(name)} || on_{name} == 1) && off_{name} == 0)"]
        return lines

    def _encoded(self, name: str) -> int:
        value = self.controller.initial[name]
        if name in self.controller.lengths_us:
            return TIMER_STATES.index(str(value))
        return self.step_number(name, value) if isinstance(value, str) else int(value)

    def _body(self, signal: str) -> str:
        return _either(
            f"p{number} == {index}"
            for number, part in enumerate(self.machine.parts)
            for wire in part.wires
            if wire.signal.name == signal
            for index, position in enumerate(part.positions)
            if wire.role in position.signals
        )

    # -- one scan, into the scratch variables n*, without effect -------------------------------------------------

    def _scan(self) -> list[str]:
        lines = ["inline read_and_compute() {"]
        for name, number in self.cells.items():
            lines.append(f"n{number} = c{number};")
            if name in self.controller.lengths_us:
                lines.append(f"s{number} = 0;")
        lines += [f"e{self.cells[chart.name]} = 0;" for chart in self.sequence.charts]
        for chart in self.sequence.charts:
            lines += [*self._blocks(chart.name), *self._chart(chart)]
        lines += self._blocks("")
        for variable in dict.fromkeys(part.action.variable for part in self.controller.actions):
            lines += self._variable(variable)
        lines += self._flags_and_alarms()
        differences = [f"n{number} != c{number}" for number in self.cells.values()]
        differences += [f"n_{name} != o_{name}" for name in self.outputs]
        differences += [f"e{self.cells[chart.name]} != 0" for chart in self.sequence.charts]
        lines += [f"changed = ({_either(differences)} -> 1 : 0);", "}"]
        return lines

    def _start(self, timer: str) -> str:
        return f"n{self.cells[timer]} = 1; s{self.cells[timer]} = 1"

    def _blocks(self, owner: str) -> list[str]:
        lines = []
        for call, state, output in self.controller.blocks.get(owner, []):
            cell, result = f"n{self.cells[state]}", f"n{self.cells[output]}"
            lines.append(f"v = ({self.in_scan(call.operand)} -> 1 : 0);")
            match call.kind:
                case "RISING":
                    lines.append(f"{result} = ((v == 1 && {cell} == 0) -> 1 : 0); {cell} = v;")
                case "FALLING":
                    lines.append(f"{result} = ((v == 0 && {cell} == 1) -> 1 : 0); {cell} = v;")
                case "TON":
                    lines.append(f"if :: v == 0 -> {cell} = 0 :: v == 1 && {cell} == 0 -> {self._start(state)} :: else fi;")
                    lines.append(f"{result} = ({cell} == 2 -> 1 : 0);")
                case "TOF":
                    rules = f"v == 1 -> {cell} = 3 :: v == 0 && {cell} == 3 -> {self._start(state)} :: v == 0 && {cell} == 2 -> {cell} = 0"
                    lines += [f"if :: {rules} :: else fi;", f"{result} = ({cell} != 0 -> 1 : 0);"]
                case "TP":
                    rules = f"v == 1 && {cell} == 0 -> {self._start(state)} :: {cell} >= 2 -> {cell} = (v == 1 -> 3 : 0)"
                    lines += [f"if :: {rules} :: else fi;", f"{result} = ({cell} == 1 -> 1 : 0);"]
        return lines

    def _chart(self, chart: Chart) -> list[str]:
        """The active step's ways out; the number of the step before is kept, since the first way taken is the only one."""
        cell = self.cells[chart.name]
        lines = ["if"]
        for number, step in enumerate(chart.steps):
            lines.append(f":: c{cell} == {number} ->")
            for transition in chart.transitions_of(step):
                moved = self._taken(chart, step, transition.target)
                lines.append(f"if :: {self.in_scan(transition.condition)} -> {moved} :: else ->")
            lines.append("skip")
            lines += ["fi" for _ in chart.transitions_of(step)]
        return [*lines, "fi;"]

    def _taken(self, chart: Chart, step: Step, target: str) -> str:
        ended = [f"n{self.cells[timer]} = 0" for timer in self.controller.step_timers[chart.name, step.name]]
        ended += [
            f"n{self.cells[part.timer]} = 0"
            for part in self.controller.actions
            if (part.chart, part.step) == (chart.name, step.name) and part.action.qualifier in ON_LEAVING and part.timer
        ]
        begun = [self._start(timer) for timer in self.controller.timers_on_entry(chart.name, target)]
        cell, number = self.cells[chart.name], self.step_number(chart.name, target)
        return "; ".join([*ended, f"n{cell} = {number}; e{cell} = {number + 1}", *begun])

    def _variable(self, variable: str) -> list[str]:
        """The value that actions give a variable goes to `v`, then to its scratch place."""
        mine = [part for part in self.controller.actions if part.action.variable == variable]
        resets = [self.is_in(part.chart, part.step) for part in mine if part.action.qualifier == "R"]
        reset = [f"n{self.cells[part.timer]} = 0;" for part in mine if part.action.qualifier in ON_RESET and part.timer]
        if f"{variable} stored" in self.cells:
            reset.append(f"n{self.cells[f'{variable} stored']} = 0;")
        store = [
            f"if :: {self.is_in(part.chart, part.step)} && n{self.cells[part.timer]} == 0 -> {self._start(part.timer)} :: else fi;"
            for part in mine
            if part.action.qualifier in SET_OFF and part.timer
        ]
        store += [f"if :: {self._due(part)} -> n{self.cells[f'{variable} stored']} = 1 :: else fi;" for part in mine if part.action.qualifier in STORED]
        on = _either(self._is_on(part) for part in mine if part.action.qualifier != "R")
        target = f"n_{variable}" if variable in self.outputs else f"n{self.cells[variable]}"
        return [f"if :: {_either(resets)} -> {' '.join(reset)} v = 0", ":: else ->", *store, f"v = ({on} -> 1 : 0)", "fi;", f"{target} = v;"]

    def _due(self, part: StepAction) -> str:
        if part.action.qualifier == "S":
            return self.is_in(part.chart, part.step)
        assert part.timer is not None
        return f"(n{self.cells[part.timer]} == 2)"

    def _is_on(self, part: StepAction) -> str:
        active = self.is_in(part.chart, part.step)
        timer = f"n{self.cells[part.timer]}" if part.timer is not None else ""
        match part.action.qualifier:
            case "N":
                return active
            case "P":
                return f"({active} && e{self.cells[part.chart]} == {self.step_number(part.chart, part.step) + 1})"
            case "L":
                return f"({active} && {timer} != 2)"
            case "D":
                return f"({active} && {timer} == 2)"
            case "SL":
                return f"({timer} == 1)"
        return f"(n{self.cells[f'{part.action.variable} stored']} == 1)"

    def _flags_and_alarms(self) -> list[str]:
        driven = {part.action.variable for part in self.controller.actions}
        lines = [f"n{self.cells[flag.name]} = 0;" for flag in self.sequence.flags if flag.name not in driven]
        for alarm in self.sequence.alarms:
            cell = self.cells[alarm.name]
            raised = [
                f"c{self.cells[self.controller.step_timers[chart.name, step.name][0]]} == 2"
                for chart in self.sequence.charts
                for step in chart.steps
                if step.watchdog is not None and step.watchdog.alarm == alarm.name
            ]
            action = [f"n{cell} == 1"] if alarm.name in driven else []
            stays = f"(c{cell} == 1 && !{self.in_scan(alarm.clear)})"
            lines.append(f"n{cell} = ({_either([*action, *raised, stays])} -> 1 : 0);")
        return lines

    # -- one instant -------------------------------------------------------------------------------------------

    def _place(self, part: int, source: int, target: int) -> str:
        """Move a part; clocks that the new position does not have are over."""
        kept = {(move.name, move.after) for move in self.machine.parts[part].positions[target].moves if move.after}
        over = [
            f"k{self.clocks[part, move.name, move.after]} = 0"
            for move in self.machine.parts[part].positions[source].moves
            if move.after and (move.name, move.after) not in kept
        ]
        return "; ".join([*over, f"p{part} = {target}"])

    def _instant(self) -> list[str]:
        lines = ["inline settle() {", "do"]
        for number, index, move, target in self._moves():
            if move.after is None and move.act is None:
                lines.append(f":: {self.when(number, index, move)} -> {self._place(number, index, target)}")
        return [*lines, ":: else -> break", "od }", *self._finish()]

    def _moves(self) -> Iterable[tuple[int, int, Move, int]]:
        for number, part in enumerate(self.machine.parts):
            for index, position in enumerate(part.positions):
                for move in position.moves:
                    yield number, index, move, self.machine.numbers[number, move.to, position.mode]

    def _due_clocks(self) -> dict[str, tuple[str, int, int]]:
        """Every clock: when it runs, earliest and latest in ticks."""
        period, write = self.sequence.scan.period, self.sequence.scan.write
        shortest, longest = self.ticks(period.earliest_us), self.ticks(period.latest_us)
        found = {"k_read": ("scan != 0", shortest, longest)}
        if write.latest_us != 0:
            found["k_write"] = (self._unwritten(), self.ticks(write.earliest_us), self.ticks(write.latest_us))
        for timer, length_us in self.controller.lengths_us.items():
            length = self.ticks(length_us)
            found[f"t{self.cells[timer]}"] = (f"c{self.cells[timer]} == 1", length, length)
        running: dict[int, list[str]] = {}
        for number, index, move, _ in self._moves():
            if move.after is not None:
                running.setdefault(self.clocks[number, move.name, move.after], []).append(f"({self.when(number, index, move)})")
        for (_, _, within), clock in self.clocks.items():
            found[f"k{clock}"] = (_either(running[clock]), self.ticks(within.earliest_us), self.ticks(within.latest_us))
        return found

    def _unwritten(self) -> str:
        return _either(f"o_{name} != w_{name}" for name in self.outputs)

    def _finish(self) -> list[str]:
        """After an instant: is a read wanted, clocks that do not run stand at zero, and the state is printed."""
        lines = ["inline finish() {", "settle();"]
        lines += ["if :: scan == 0 -> read_and_compute(); if :: changed == 1 -> scan = 2; k_read = 0 :: else fi :: else fi;"]
        for clock, (runs, _, _) in self._due_clocks().items():
            lines.append(f"if :: !({runs}) -> {clock} = 0 :: else fi;")
        lines.append("changed = 0; v = 0;")
        names = self._printed()
        values = ", ".join(f"now.{name}" for name in names)
        lines.append('c_code { printf("S' + " %d" * len(names) + f'\\n", {values}); }};')
        return [*lines, "}"]

    def _printed(self) -> list[str]:
        names = [f"c{number}" for number in self.cells.values()]
        for name in self.outputs:
            names += [f"o_{name}", f"w_{name}"]
        names += ["scan", *(f"p{part}" for part in range(len(self.machine.parts)))]
        for name in self.signals:
            names += [f"on_{name}", f"off_{name}"]
        return [*names, "left"]

    # -- what may happen ---------------------------------------------------------------------------------------

    def _process(self) -> list[str]:
        clocks = self._due_clocks()
        lines = ["active proctype machine() {", "d_step { finish() };", "do", ":: atomic { if", *self._read_options(clocks)]
        for timer in self.controller.lengths_us:
            cell = self.cells[timer]
            lines.append(f":: d_step {{ c{cell} == 1 && t{cell} == {clocks[f't{cell}'][1]} -> c{cell} = 2; t{cell} = 0; }}")
        for number, index, move, target in self._moves():
            lines += self._move_option(number, index, move, target, clocks)
        lines += self._failures() if self.faults else []
        can = " && ".join(f"(!({runs}) || {clock} < {latest})" for clock, (runs, _, latest) in clocks.items())
        step = " ".join(f"if :: {runs} -> {clock}++ :: else fi;" for clock, (runs, _, _) in clocks.items())
        return [*lines, "fi; d_step { finish() } }", f":: d_step {{ {can} -> {step} }}", "od }"]

    def _read_options(self, clocks: dict[str, tuple[str, int, int]]) -> list[str]:
        waits = f" && !{self._unwritten()}" if "k_write" in clocks else ""
        due = f"((scan == 1 && k_read >= {clocks['k_read'][1]}) || scan == 2)"
        commit = [f"c{number} = n{number};" for number in self.cells.values()]
        commit += [f"if :: s{self.cells[timer]} == 1 -> t{self.cells[timer]} = 0 :: else fi;" for timer in self.controller.lengths_us]
        commit += [f"o_{name} = n_{name};" for name in self.outputs]
        if "k_write" not in clocks:
            commit += [f"w_{name} = o_{name};" for name in self.outputs]
        lines = [f":: d_step {{ {due}{waits} -> read_and_compute(); scan = changed; k_read = 0; {' '.join(commit)} }}"]
        if "k_write" in clocks:
            write = " ".join(f"w_{name} = o_{name};" for name in self.outputs)
            lines.append(f":: d_step {{ {self._unwritten()} && k_write >= {clocks['k_write'][1]} -> {write} k_write = 0; }}")
        return lines

    def _move_option(
        self, part: int, index: int, move: Move, target: int, clocks: dict[str, tuple[str, int, int]]
    ) -> list[str]:
        place = self._place(part, index, target)
        if move.act is not None:
            return [f":: d_step {{ {self.when(part, index, move)} -> {place}; }}"]
        if move.after is None:
            return []
        clock = f"k{self.clocks[part, move.name, move.after]}"
        return [f":: d_step {{ {self.when(part, index, move)} && {clock} >= {clocks[clock][1]} -> {clock} = 0; {place}; }}"]

    def _failures(self) -> list[str]:
        lines = []
        for number, part in enumerate(self.machine.parts):
            names = {wire.role: wire.signal.name for wire in part.wires}
            for mode in self.machine.failures[part.device]:
                if mode.contact is not None:
                    name = names[mode.contact]
                    word = "on" if mode.mode == "stuck_on" else "off"
                    lines.append(f":: d_step {{ left > 0 && on_{name} == 0 && off_{name} == 0 -> left--; {word}_{name} = 1; }}")
                    continue
                for index in range(len(part.positions)):
                    plant = tuple(index if other == number else 0 for other in range(len(self.machine.parts)))
                    target = self.machine.failed_position(number, mode, plant)
                    if target is not None:
                        lines.append(f":: d_step {{ left > 0 && p{number} == {index} -> left--; {self._place(number, index, target)}; }}")
        return lines

    # -- back ----------------------------------------------------------------------------------------------------

    def situation(self, numbers: list[int]) -> Situation:
        """A printed state in the words of the tick search."""
        value = dict(zip(self._printed(), numbers, strict=True))
        on = frozenset(name for name in self.signals if value[f"on_{name}"])
        off = frozenset(name for name in self.signals if value[f"off_{name}"])
        plant = tuple(value[f"p{part}"] for part in range(len(self.machine.parts)))
        return Situation(
            memory=tuple(self._decoded(name, value[f"c{number}"]) for name, number in self.cells.items()),
            computed=frozenset(name for name in self.outputs if value[f"o_{name}"]),
            written=frozenset(name for name in self.outputs if value[f"w_{name}"]),
            scan=SCANS[value["scan"]],
            plant=plant,
            stuck_on=on,
            stuck_off=off,
            seen=(self.machine.raw_signals(plant) | on) - off,
            left=value["left"],
        )

    def _decoded(self, name: str, value: int) -> Value:
        if name in self.controller.lengths_us:
            return TIMER_STATES[value]
        chart = next((chart for chart in self.sequence.charts if chart.name == name), None)
        return chart.steps[value].name if chart is not None else value != 0


class SpinError(Exception):
    """Spin, gcc or pan did not do what was asked; the text says what they said."""


def spin_situations(model: SpinModel, folder: Path) -> set[Situation]:
    """Every situation that spin's exhaustive search of the model reaches; works in `folder`.

    Raises SpinError if the search did not finish, or ran out of a limit.
    """
    (folder / "model.pml").write_text(model.promela(), encoding="utf-8")
    _run(["spin", "-a", "model.pml"], folder)
    _run(["gcc", "-O1", "-w", "-DSAFETY", "-DNOREDUCE", "-DMEMLIM=2000", "-o", "pan", "pan.c"], folder)
    printed = _run(["./pan", "-m1000000", "-w22", "-E"], folder)
    if "max search depth too small" in printed or not re.search(r"errors: 0\b", printed):
        raise SpinError(printed[-2_000:])
    lines = {line for line in printed.splitlines() if line.startswith("S ")}
    return {model.situation([int(number) for number in line.split()[1:]]) for line in lines}


def _run(command: list[str], folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=LONGEST_RUN_S, check=False)
    if done.returncode != 0:
        raise SpinError(f"{command[0]}: {done.stdout[-2_000:]} {done.stderr[-2_000:]}")
    return done.stdout
