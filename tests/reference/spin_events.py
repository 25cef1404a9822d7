"""What happens in Promela: an event, what follows at once, and the tick."""

from __future__ import annotations

from dataclasses import dataclass

from reference.spin_names import SpinNames, either

from seqcheck.plant.behaviour import Move


def printed(names: SpinNames) -> list[str]:
    """The variables of a printed state, in order."""
    found = [f"c{number}" for number in names.cells.values()]
    for name in names.outputs:
        found += [f"o_{name}", f"w_{name}"]
    found += ["scan", *(f"p{part}" for part in range(len(names.machine.parts)))]
    for name in names.signals:
        found += [f"on_{name}", f"off_{name}"]
    return [*found, "left"]


def constant(names: SpinNames) -> dict[str, int]:
    """Variables that never change, with their values: they need no place in the state."""
    found = {f"p{part}": names.machine.initial()[part] for part in names.chosen}
    if not names.faults:
        found.update((f"{word}_{name}", 0) for name in names.signals for word in ("on", "off"))
    return found


def _tick(clock: str, runs: str, earliest: int, latest: int | None) -> str:
    """One tick of a clock; what may also never happen needs no count beyond its earliest."""
    runs = runs if latest is not None else f"({runs}) && {clock} < {earliest}"
    return f"if :: {runs} -> {clock}++ :: else fi;"


@dataclass(frozen=True, slots=True)
class EventText:
    """Writes the process."""

    names: SpinNames

    def _place(self, part: int, source: int, target: int) -> str:
        """Move a part; clocks that the new position does not have are over."""
        kept = {
            (move.name, move.after)
            for move in self.names.machine.parts[part].positions[target].moves
            if move.after
        }
        over = [
            f"k{self.names.clocks[part, move.name, move.after]} = 0"
            for move in self.names.machine.parts[part].positions[source].moves
            if move.after and (move.name, move.after) not in kept
        ]
        return "; ".join([*over, f"p{part} = {target}"])

    def instant(self) -> list[str]:
        """What follows at once: `settle` and `finish`."""
        lines = ["inline settle() {", "do"]
        for number, index, move, target in self.names.moves():
            if move.after is None and move.act is None:
                lines.append(
                    f":: {self.names.when(number, index, move)} -> {self._place(number, index, target)}"
                )
        return [*lines, ":: else -> break", "od }", *self._finish()]

    def due_clocks(self) -> dict[str, tuple[str, int, int | None]]:
        """Every clock: when it runs, earliest and latest in ticks, the latest None for what may also never happen."""
        period, write = self.names.sequence.scan.period, self.names.sequence.scan.write
        shortest, longest = self.names.ticks(period.earliest_us), self.names.ticks(period.latest_us)
        found: dict[str, tuple[str, int, int | None]] = {"k_read": ("scan != 0", shortest, longest)}
        if write.latest_us != 0:
            found["k_write"] = (
                self._unwritten(),
                self.names.ticks(write.earliest_us),
                self.names.ticks(write.latest_us),
            )
        for timer, length_us in self.names.controller.lengths_us.items():
            length = self.names.ticks(length_us)
            found[f"t{self.names.cells[timer]}"] = (f"c{self.names.cells[timer]} == 1", length, length)
        running: dict[int, list[str]] = {}
        for number, index, move, _ in self.names.moves():
            if move.after is not None:
                running.setdefault(self.names.clocks[number, move.name, move.after], []).append(
                    f"({self.names.when(number, index, move)})"
                )
        for (_, _, within), clock in self.names.clocks.items():
            found[f"k{clock}"] = (
                either(running[clock]),
                self.names.ticks(within.earliest_us),
                None if within.latest_us is None else self.names.ticks(within.latest_us),
            )
        return found

    def _unwritten(self) -> str:
        return either(f"o_{name} != w_{name}" for name in self.names.outputs)

    def _finish(self) -> list[str]:
        """After an instant: is a read wanted, clocks that do not run stand at zero, and the state is printed."""
        lines = ["inline finish() {", "settle();"]
        lines += [
            "if",
            ":: scan == 0 ->",
            *self._wanted(),
            "if :: changed == 1 -> scan = 2; k_read = 0 :: else fi",
        ]
        lines += [":: else fi;"]
        for clock, (runs, _, _) in self.due_clocks().items():
            lines.append(f"if :: !({runs}) -> {clock} = 0 :: else fi;")
        lines.append("changed = 0; v = 0;")
        lines += [f"b_{signal} = 0;" for signal in self.names.chosen.values()]
        shown, constants = printed(self.names), constant(self.names)
        values = ", ".join(str(constants[name]) if name in constants else f"now.{name}" for name in shown)
        lines.append(f"c_code {{ unsigned char row[] = {{ {values} }}; show_row(row, {len(shown)}); }};")
        return [*lines, "}"]

    def _wanted(self) -> list[str]:
        """Whether a read would alter something whatever the values of the chosen inputs, in `changed`."""
        signals = list(self.names.chosen.values())
        if not signals:
            return ["read_and_compute();"]
        set_inputs = [f"b_{signal} = ((m >> {bit}) & 1);" for bit, signal in enumerate(signals)]
        matters = " && ".join(f"(b_{signal} == 0 || matters_{signal})" for signal in signals)
        return [
            "m = 0; changed = 1;",
            "do",
            f":: m < {1 << len(signals)} && changed == 1 ->",
            *set_inputs,
            f"if :: {matters} -> read_and_compute() :: else fi;",
            "m++",
            ":: else -> break",
            "od; m = 0;",
            *(f"b_{signal} = 0;" for signal in signals),
        ]

    # -- what may happen ---------------------------------------------------------------------------------------

    def process(self) -> list[str]:
        """The process: everything that may happen, and the tick."""
        clocks = self.due_clocks()
        lines = [
            "active proctype machine() {",
            "d_step { finish() };",
            "do",
            ":: atomic { if",
            *self._read_options(clocks),
        ]
        for timer in self.names.controller.lengths_us:
            cell = self.names.cells[timer]
            lines.append(
                f":: d_step {{ c{cell} == 1 && t{cell} == {clocks[f't{cell}'][1]} -> c{cell} = 2; t{cell} = 0; }}"
            )
        for number, index, move, target in self.names.moves():
            lines += self._move_option(number, index, move, target, clocks)
        lines += self._failures() if self.names.faults else []
        can = " && ".join(
            f"(!({runs}) || {clock} < {latest})" for clock, (runs, _, latest) in clocks.items() if latest is not None
        )
        step = " ".join(_tick(clock, *due) for clock, due in clocks.items())
        return [*lines, "fi; d_step { finish() } }", f":: d_step {{ {can} -> {step} }}", "od }"]

    def _read_options(self, clocks: dict[str, tuple[str, int, int | None]]) -> list[str]:
        waits = f" && !{self._unwritten()}" if "k_write" in clocks else ""
        due = f"((scan == 1 && k_read >= {clocks['k_read'][1]}) || scan == 2)"
        commit = [f"c{number} = n{number};" for number in self.names.cells.values()]
        commit += [
            f"if :: s{self.names.cells[timer]} == 1 -> t{self.names.cells[timer]} = 0 :: else fi;"
            for timer in self.names.controller.lengths_us
        ]
        commit += [f"o_{name} = n_{name};" for name in self.names.outputs]
        if "k_write" not in clocks:
            commit += [f"w_{name} = o_{name};" for name in self.names.outputs]
        read = f"scan = changed; k_read = 0; {' '.join(commit)}"
        lines = [f":: d_step {{ {due}{waits} -> read_and_compute(); {read} }}"]
        if self.names.chosen:
            # Idle, a read comes at any moment because a chosen input has just made it wanted.
            lines = [f":: ({due} || scan == 0){waits} ->"]
            for signal in self.names.chosen.values():
                lines.append(f"if :: matters_{signal} -> b_{signal} = 1 :: b_{signal} = 0 fi;")
            lines.append(
                f"d_step {{ read_and_compute(); if :: scan == 0 && changed == 0 :: else -> {read} fi }}"
            )
        if "k_write" in clocks:
            write = " ".join(f"w_{name} = o_{name};" for name in self.names.outputs)
            lines.append(
                f":: d_step {{ {self._unwritten()} && k_write >= {clocks['k_write'][1]} -> {write} k_write = 0; }}"
            )
        return lines

    def _move_option(
        self, part: int, index: int, move: Move, target: int, clocks: dict[str, tuple[str, int, int | None]]
    ) -> list[str]:
        place = self._place(part, index, target)
        if move.act is not None:
            return [f":: d_step {{ {self.names.when(part, index, move)} -> {place}; }}"]
        if move.after is None:
            return []
        clock = f"k{self.names.clocks[part, move.name, move.after]}"
        due = f"{self.names.when(part, index, move)} && {clock} >= {clocks[clock][1]}"
        return [f":: d_step {{ {due} -> {clock} = 0; {place}; }}"]

    def _failures(self) -> list[str]:
        lines = []
        for number, part in enumerate(self.names.machine.parts):
            names = {wire.role: wire.signal.name for wire in part.wires}
            for mode in self.names.machine.failures[part.device]:
                if mode.contact is not None:
                    name = names[mode.contact]
                    word = "on" if mode.mode == "stuck_on" else "off"
                    lines.append(
                        f":: d_step {{ left > 0 && on_{name} == 0 && off_{name} == 0 -> left--; {word}_{name} = 1; }}"
                    )
                    continue
                assert number not in self.names.chosen, (
                    "an input chosen at the read has no failures but its contact's"
                )
                for index in range(len(part.positions)):
                    plant = tuple(
                        index if other == number else 0 for other in range(len(self.names.machine.parts))
                    )
                    target = self.names.machine.failed_position(number, mode, plant)
                    if target is not None:
                        lines.append(
                            f":: d_step {{ left > 0 && p{number} == {index} -> left--;"
                            f" {self._place(number, index, target)}; }}"
                        )
        return lines
