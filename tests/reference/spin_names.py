"""The names and numbers that a Promela text is made of, and conditions in Promela.

`c12` is cell 12 of the controller's memory, `n12` the same while a scan works it out; `w_clamp` an output as written,
`o_clamp` as computed; `p3` the position of part 3, `k5` the clock of a timed move, `sig_x` a contact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from reference.spin_chosen import chosen_parts
from reference.tick_controller import TickController
from reference.tick_machine import TickMachine

from seqcheck.language.expression import (
    And,
    Constant,
    EdgeCall,
    Expression,
    Name,
    Not,
    Or,
    StepTime,
    TimerCall,
    Xor,
)
from seqcheck.language.sequence import Sequence
from seqcheck.plant.behaviour import Move
from seqcheck.quantities.time import TimeRange

Leaf = Callable[[Expression], str]


def either(parts: Iterable[str]) -> str:
    """Any of the parts; nothing if there are none."""
    return "(" + (" || ".join(parts) or "0") + ")"


def promela_of(expression: Expression, leaf: Leaf) -> str:
    """A condition in Promela."""
    match expression:
        case Constant(value=value):
            return str(int(value))
        case Not(operand=operand):
            return f"(!{promela_of(operand, leaf)})"
        case And(operands=operands):
            return "(" + " && ".join(promela_of(part, leaf) for part in operands) + ")"
        case Or(operands=operands):
            return either(promela_of(part, leaf) for part in operands)
        case Xor(operands=operands):
            return (
                "((("
                + " + ".join(f"({promela_of(part, leaf)} -> 1 : 0)" for part in operands)
                + ") % 2) == 1)"
            )
    return leaf(expression)


@dataclass(slots=True)
class SpinNames:
    """The names and numbers that the Promela text is made of."""

    sequence: Sequence
    faults: int
    tick_us: int
    choose: bool = False
    """Inputs that only the controller looks at and anybody may turn at any time are no state: a read tries both values."""
    controller: TickController = field(init=False)
    machine: TickMachine = field(init=False)
    cells: dict[str, int] = field(init=False)
    outputs: tuple[str, ...] = field(init=False)
    signals: tuple[str, ...] = field(init=False)
    clocks: dict[tuple[int, str, TimeRange], int] = field(default_factory=dict)
    """Clock of a timed move: part, name of the move, range."""
    chosen: dict[int, str] = field(default_factory=dict)
    """Signal of each part whose value the read chooses."""

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
        if self.choose:
            self.chosen = chosen_parts(self.machine)

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
        return promela_of(expression, self._scan_leaf)

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
        numbers = [
            number
            for number, position in enumerate(self.machine.parts[part].positions)
            if fact in position.facts
        ]
        return either(f"p{part} == {number}" for number in numbers)

    def when(self, part: int, position: int, move: Move) -> str:
        """The part is at `position` and the drives let `move` happen."""
        conditions = {drive.role: drive.condition for drive in self.machine.parts[part].drives}
        wanted = [
            f"({promela_of(conditions[role], self._wired_leaf)}) == {int(value)}" for role, value in move.when
        ]
        return " && ".join([f"p{part} == {position}", *(f"({text})" for text in wanted)])

    def moves(self) -> Iterable[tuple[int, int, Move, int]]:
        """Every move: part, number of the position, the move, number of the position after."""
        for number, part in enumerate(self.machine.parts):
            for index, position in enumerate(part.positions):
                for move in () if number in self.chosen else position.moves:
                    yield number, index, move, self.machine.numbers[number, move.to, position.mode]
