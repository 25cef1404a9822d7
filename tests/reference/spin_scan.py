"""One scan in Promela: `read_and_compute` works everything out in scratch variables, without effect."""

from __future__ import annotations

from dataclasses import dataclass

from reference.spin_names import SpinNames, either
from reference.tick_cells import ON_LEAVING, ON_RESET, SET_OFF, STORED, StepAction

from seqcheck.language.sequence import Chart, Step


@dataclass(frozen=True, slots=True)
class ScanText:
    """Writes the scan of a controller."""

    names: SpinNames

    def text(self) -> list[str]:
        """The lines of `read_and_compute`; afterwards `changed` says whether the scan alters anything."""
        lines = ["inline read_and_compute() {"]
        for name, number in self.names.cells.items():
            lines.append(f"n{number} = c{number};")
            if name in self.names.controller.lengths_us:
                lines.append(f"s{number} = 0;")
        lines += [f"e{self.names.cells[chart.name]} = 0;" for chart in self.names.sequence.charts]
        for chart in self.names.sequence.charts:
            lines += [*self._blocks(chart.name), *self._chart(chart)]
        lines += self._blocks("")
        for variable in dict.fromkeys(part.action.variable for part in self.names.controller.actions):
            lines += self._variable(variable)
        lines += self._flags_and_alarms()
        differences = [f"n{number} != c{number}" for number in self.names.cells.values()]
        differences += [f"n_{name} != o_{name}" for name in self.names.outputs]
        differences += [f"e{self.names.cells[chart.name]} != 0" for chart in self.names.sequence.charts]
        lines += [f"changed = ({either(differences)} -> 1 : 0);", "}"]
        return lines

    def _start(self, timer: str) -> str:
        return f"n{self.names.cells[timer]} = 1; s{self.names.cells[timer]} = 1"

    def _blocks(self, owner: str) -> list[str]:
        lines = []
        for call, state, output in self.names.controller.blocks.get(owner, []):
            cell, result = f"n{self.names.cells[state]}", f"n{self.names.cells[output]}"
            lines.append(f"v = ({self.names.in_scan(call.operand)} -> 1 : 0);")
            match call.kind:
                case "RISING":
                    lines.append(f"{result} = ((v == 1 && {cell} == 0) -> 1 : 0); {cell} = v;")
                case "FALLING":
                    lines.append(f"{result} = ((v == 0 && {cell} == 1) -> 1 : 0); {cell} = v;")
                case "TON":
                    lines.append(
                        f"if :: v == 0 -> {cell} = 0 :: v == 1 && {cell} == 0 -> {self._start(state)} :: else fi;"
                    )
                    lines.append(f"{result} = ({cell} == 2 -> 1 : 0);")
                case "TOF":
                    ended = f"v == 0 && {cell} == 2 -> {cell} = 0"
                    rules = (
                        f"v == 1 -> {cell} = 3 :: v == 0 && {cell} == 3 -> {self._start(state)} :: {ended}"
                    )
                    lines += [f"if :: {rules} :: else fi;", f"{result} = ({cell} != 0 -> 1 : 0);"]
                case "TP":
                    rules = f"v == 1 && {cell} == 0 -> {self._start(state)} :: {cell} >= 2 -> {cell} = (v == 1 -> 3 : 0)"
                    lines += [f"if :: {rules} :: else fi;", f"{result} = ({cell} == 1 -> 1 : 0);"]
        return lines

    def _chart(self, chart: Chart) -> list[str]:
        """The active step's ways out; the number of the step before is kept, since the first way taken is the only one."""
        cell = self.names.cells[chart.name]
        lines = ["if"]
        for number, step in enumerate(chart.steps):
            lines.append(f":: c{cell} == {number} ->")
            for transition in chart.transitions_of(step):
                moved = self._taken(chart, step, transition.target)
                lines.append(f"if :: {self.names.in_scan(transition.condition)} -> {moved} :: else ->")
            lines.append("skip")
            lines += ["fi" for _ in chart.transitions_of(step)]
        return [*lines, "fi;"]

    def _taken(self, chart: Chart, step: Step, target: str) -> str:
        ended = [
            f"n{self.names.cells[timer]} = 0"
            for timer in self.names.controller.step_timers[chart.name, step.name]
        ]
        ended += [
            f"n{self.names.cells[part.timer]} = 0"
            for part in self.names.controller.actions
            if (part.chart, part.step) == (chart.name, step.name)
            and part.action.qualifier in ON_LEAVING
            and part.timer
        ]
        begun = [self._start(timer) for timer in self.names.controller.timers_on_entry(chart.name, target)]
        cell, number = self.names.cells[chart.name], self.names.step_number(chart.name, target)
        return "; ".join([*ended, f"n{cell} = {number}; e{cell} = {number + 1}", *begun])

    def _variable(self, variable: str) -> list[str]:
        """The value that actions give a variable goes to `v`, then to its scratch place."""
        mine = [part for part in self.names.controller.actions if part.action.variable == variable]
        resets = [self.names.is_in(part.chart, part.step) for part in mine if part.action.qualifier == "R"]
        reset = [
            f"n{self.names.cells[part.timer]} = 0;"
            for part in mine
            if part.action.qualifier in ON_RESET and part.timer
        ]
        if f"{variable} stored" in self.names.cells:
            reset.append(f"n{self.names.cells[f'{variable} stored']} = 0;")
        store = [
            f"if :: {self.names.is_in(part.chart, part.step)} && n{self.names.cells[part.timer]} == 0"
            f" -> {self._start(part.timer)} :: else fi;"
            for part in mine
            if part.action.qualifier in SET_OFF and part.timer
        ]
        store += [
            f"if :: {self._due(part)} -> n{self.names.cells[f'{variable} stored']} = 1 :: else fi;"
            for part in mine
            if part.action.qualifier in STORED
        ]
        on = either(self._is_on(part) for part in mine if part.action.qualifier != "R")
        target = f"n_{variable}" if variable in self.names.outputs else f"n{self.names.cells[variable]}"
        return [
            f"if :: {either(resets)} -> {' '.join(reset)} v = 0",
            ":: else ->",
            *store,
            f"v = ({on} -> 1 : 0)",
            "fi;",
            f"{target} = v;",
        ]

    def _due(self, part: StepAction) -> str:
        if part.action.qualifier == "S":
            return self.names.is_in(part.chart, part.step)
        assert part.timer is not None
        return f"(n{self.names.cells[part.timer]} == 2)"

    def _is_on(self, part: StepAction) -> str:
        active = self.names.is_in(part.chart, part.step)
        timer = f"n{self.names.cells[part.timer]}" if part.timer is not None else ""
        match part.action.qualifier:
            case "N":
                return active
            case "P":
                number = self.names.step_number(part.chart, part.step)
                return f"({active} && e{self.names.cells[part.chart]} == {number + 1})"
            case "L":
                return f"({active} && {timer} != 2)"
            case "D":
                return f"({active} && {timer} == 2)"
            case "SL":
                return f"({timer} == 1)"
        return f"(n{self.names.cells[f'{part.action.variable} stored']} == 1)"

    def _flags_and_alarms(self) -> list[str]:
        driven = {part.action.variable for part in self.names.controller.actions}
        lines = [
            f"n{self.names.cells[flag.name]} = 0;"
            for flag in self.names.sequence.flags
            if flag.name not in driven
        ]
        for alarm in self.names.sequence.alarms:
            cell = self.names.cells[alarm.name]
            raised = [
                f"c{self.names.cells[self.names.controller.step_timers[chart.name, step.name][0]]} == 2"
                for chart in self.names.sequence.charts
                for step in chart.steps
                if step.watchdog is not None and step.watchdog.alarm == alarm.name
            ]
            action = [f"n{cell} == 1"] if alarm.name in driven else []
            stays = f"(c{cell} == 1 && !{self.names.in_scan(alarm.clear)})"
            lines.append(f"n{cell} = ({either([*action, *raised, stays])} -> 1 : 0);")
        return lines
