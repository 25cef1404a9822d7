"""Units of a controller text made runnable: every statement becomes a function of the instance it runs on.

Names and types are checked while this is done, so that running cannot fail. A function block may use only blocks declared above it,
as the standard asks; so calls end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from seqcheck.plc.function_block import STANDARD_BLOCKS, BlockMemory, BlockType, Cell, new_block
from seqcheck.plc.program import Program, Unit, Variable
from seqcheck.plc.statement import (
    Argument,
    Assignment,
    Branch,
    Call,
    Case,
    CaseBranch,
    If,
    Remark,
    Return,
    Statement,
)
from seqcheck.plc.types_of_text import BOOL, TIME, WHOLE, Types, failure
from seqcheck.plc.value import (
    Chain,
    Comparison,
    Duration,
    Enumerator,
    Negation,
    Reference,
    Truth,
    Value,
    Whole,
)


@dataclass(slots=True)
class Instance:
    """Variables of one function block or program. `blocks` are instances in it. Mutable: running changes it.

    Names are in capitals, since the case of letters does not matter.
    """

    cells: dict[str, Cell] = field(default_factory=dict)
    blocks: dict[str, Instance | BlockMemory] = field(default_factory=dict)
    now_us: int = 0


Evaluate = Callable[[Instance], Cell]
Run = Callable[[Instance], bool]
"""Does a statement; True after RETURN."""


@dataclass(frozen=True, slots=True)
class CompiledUnit:
    """A unit: how to make an instance of it, and how to run one."""

    unit: Unit
    new: Callable[[], Instance]
    run: Run


def compile_program(program: Program) -> dict[str, CompiledUnit]:
    """All units by name in capitals.

    Raises SequenceFileError if a name is not known, types do not fit, or a block is used before it is declared.
    """
    compiled: dict[str, CompiledUnit] = {}
    for unit in program.units:
        compiled[unit.name.upper()] = _UnitCompiler(Types(program), unit, dict(compiled)).compiled()
    return compiled


@dataclass(frozen=True, slots=True)
class _UnitCompiler:
    types: Types
    unit: Unit
    known: dict[str, CompiledUnit]

    def compiled(self) -> CompiledUnit:
        for variable in self.unit.variables():
            self._check_declaration(variable)
        return CompiledUnit(self.unit, self._maker(), self._body(self.unit.body))

    def _check_declaration(self, variable: Variable) -> None:
        same = [part for part in self.unit.variables() if part.name.upper() == variable.name.upper()]
        if len(same) > 1 and same[0] is not variable:
            raise failure(variable.place, "each variable once", repr(variable.name))
        type_name = self.types.type_name(variable.type_name, variable.place)
        if self.types.program.unit(type_name) is not None and type_name.upper() not in self.known:
            raise failure(variable.place, "a function block declared above", repr(variable.type_name))
        if variable.initial is not None:
            self.types.need(variable.initial, type_name, self.unit)

    def _maker(self) -> Callable[[], Instance]:
        variables = self.unit.variables()
        plain: dict[str, Cell] = {}
        standard: dict[str, BlockType] = {}
        units: dict[str, CompiledUnit] = {}
        for part in variables:
            type_name, name = self.types.type_name(part.type_name, part.place), part.name.upper()
            if type_name in STANDARD_BLOCKS:
                standard[name] = STANDARD_BLOCKS[type_name]
            elif type_name.upper() in self.known:
                units[name] = self.known[type_name.upper()]
            else:
                plain[name] = self._initial(part, type_name)

        def new() -> Instance:
            blocks: dict[str, Instance | BlockMemory] = {name: new_block(kind) for name, kind in standard.items()}
            blocks |= {name: kind.new() for name, kind in units.items()}
            return Instance(dict(plain), blocks)

        return new

    def _initial(self, variable: Variable, type_name: str) -> Cell:
        if variable.initial is not None:
            return self._value(variable.initial)(Instance())
        known = self.types.enumeration(type_name)
        if known is not None:
            return known.values[0]
        return False if type_name == BOOL else 0

    # ---- statements

    def _body(self, body: tuple[Statement, ...]) -> Run:
        runs = tuple(self._statement(part) for part in body if not isinstance(part, Remark))

        def run(instance: Instance) -> bool:
            for part in runs:  # noqa: SIM110  a generator would cost more in the innermost loop
                if part(instance):
                    return True
            return False

        return run

    def _statement(self, part: Statement) -> Run:
        match part:
            case Assignment():
                return self._assignment(part)
            case Call():
                return self._call(part)
            case If():
                return self._if(part)
            case Case():
                return self._case(part)
            case Return():
                return lambda _instance: True
            case Remark():
                return lambda _instance: False

    def _assignment(self, part: Assignment) -> Run:
        self._refuse_unless_written(part.target)
        self.types.need(part.value, self.types.of_reference(part.target, self.unit), self.unit)
        name, value = part.target.path[0].upper(), self._value(part.value)

        def run(instance: Instance) -> bool:
            instance.cells[name] = value(instance)
            return False

        return run

    def _refuse_unless_written(self, target: Reference) -> None:
        """Only a plain variable that is neither input nor constant nor block can be written."""
        type_name = self.types.of_reference(target, self.unit)
        if len(target.path) > 1 or type_name in STANDARD_BLOCKS or type_name.upper() in self.known:
            raise failure(target.place, "a variable of this unit to write", repr(target.text))
        for section in self.unit.sections:
            for variable in section.variables:
                is_fixed = section.is_constant or section.keyword == "VAR_INPUT"
                if is_fixed and variable.name.upper() == target.path[0].upper():
                    raise failure(target.place, "a variable that may be written", f"{target.text!r}, which may not")

    def _call(self, part: Call) -> Run:
        type_name = self.types.of_reference(Reference((part.instance,), part.place), self.unit)
        given = tuple(self._given(part, argument, type_name) for argument in part.arguments if not argument.is_output)
        taken = tuple(self._taken(part, argument, type_name) for argument in part.arguments if argument.is_output)
        name = part.instance.upper()
        if type_name in STANDARD_BLOCKS:
            runs: Callable[..., object] = STANDARD_BLOCKS[type_name].run
        elif type_name.upper() in self.known:
            runs = _unit_run(self.known[type_name.upper()])
        else:
            raise failure(part.place, "a function block to call", repr(part.instance))

        def run(instance: Instance) -> bool:
            block = instance.blocks[name]
            cells = block.cells
            for field_name, value in given:
                cells[field_name] = value(instance)
            runs(block, instance.now_us)
            for field_name, target in taken:
                instance.cells[target] = cells[field_name]
            return False

        return run

    def _given(self, call: Call, argument: Argument, type_name: str) -> tuple[str, Evaluate]:
        inputs = self.types.inputs(type_name)
        wanted = next((kind for name, kind in inputs.items() if name.upper() == argument.name.upper()), None)
        if wanted is None:
            raise failure(argument.place, f"an input of {call.instance}", repr(argument.name))
        self.types.need(argument.value, wanted, self.unit)
        return argument.name.upper(), self._value(argument.value)

    def _taken(self, call: Call, argument: Argument, type_name: str) -> tuple[str, str]:
        assert isinstance(argument.value, Reference), "by the grammar"
        outputs = self.types.outputs(type_name)
        wanted = next((kind for name, kind in outputs.items() if name.upper() == argument.name.upper()), None)
        if wanted is None:
            raise failure(argument.place, f"an output of {call.instance}", repr(argument.name))
        self._refuse_unless_written(argument.value)
        self.types.need(argument.value, wanted, self.unit)
        return argument.name.upper(), argument.value.path[0].upper()

    def _if(self, part: If) -> Run:
        branches = tuple(self._branch(branch) for branch in part.branches)
        otherwise = self._body(part.otherwise)

        def run(instance: Instance) -> bool:
            for condition, body in branches:
                if condition(instance):
                    return body(instance)
            return otherwise(instance)

        return run

    def _branch(self, branch: Branch) -> tuple[Evaluate, Run]:
        self.types.need(branch.condition, BOOL, self.unit)
        return self._value(branch.condition), self._body(branch.body)

    def _case(self, part: Case) -> Run:
        wanted = self.types.of_value(part.selector, self.unit)
        if wanted in (BOOL, TIME) or wanted in STANDARD_BLOCKS or wanted.upper() in self.known:
            raise failure(part.selector.place, "a whole number or an enumeration in CASE", f"a value of type {wanted}")
        selector, otherwise = self._value(part.selector), self._body(part.otherwise)
        bodies: dict[Cell, Run] = {}
        for branch in part.branches:
            self._add_branch(branch, wanted, bodies)

        def run(instance: Instance) -> bool:
            return bodies.get(selector(instance), otherwise)(instance)

        return run

    def _add_branch(self, branch: CaseBranch, wanted: str, bodies: dict[Cell, Run]) -> None:
        body = self._body(branch.body)
        for label in branch.labels:
            self.types.need(label, wanted, self.unit)
            value = self._label(label)
            if value in bodies:
                raise failure(branch.place, "each value once in a CASE", "one a second time")
            bodies[value] = body

    def _label(self, label: Value) -> Cell:
        if isinstance(label, Reference):
            variable = next(
                (
                    part
                    for section in self.unit.sections
                    if section.is_constant
                    for part in section.variables
                    if part.name.upper() == label.path[0].upper()
                ),
                None,
            )
            if variable is None or variable.initial is None:
                raise failure(label.place, "a number, a constant or an enumerator", repr(label.text))
            return self._value(variable.initial)(Instance())
        return self._value(label)(Instance())

    # ---- values

    def _value(self, value: Value) -> Evaluate:
        match value:
            case Truth(truth):
                return lambda _instance: truth
            case Whole(number):
                return lambda _instance: number
            case Duration(us):
                return lambda _instance: us
            case Enumerator():
                return self._enumerator(value)
            case Reference():
                return self._reference(value)
            case Negation(operand):
                inner = self._value(operand)
                return lambda instance: not inner(instance)
            case Chain(operator, operands):
                return _CHAINS[operator](tuple(self._value(operand) for operand in operands))
            case Comparison():
                compare = _COMPARISONS[value.sign]
                left, right = self._value(value.left), self._value(value.right)
                self._refuse_order(value)
                return lambda instance: compare(left(instance), right(instance))

    def _refuse_order(self, value: Comparison) -> None:
        found = self.types.of_value(value.left, self.unit)
        if value.sign not in ("=", "<>") and found not in (WHOLE, TIME):
            raise failure(value.place, "'=' or '<>' between values without an order", f"'{value.sign}'")

    def _enumerator(self, value: Enumerator) -> Evaluate:
        known = self.types.enumeration(value.type_name)
        assert known is not None, "types are checked before"
        name = next(name for name in known.values if name.upper() == value.name.upper())
        return lambda _instance: name

    def _reference(self, value: Reference) -> Evaluate:
        names = [name.upper() for name in value.path]
        if len(names) == 1:
            name = names[0]
            return lambda instance: instance.cells[name]
        if len(names) > 2:
            raise failure(value.place, "a variable or an output of a block", repr(value.text))
        block, name = names
        return lambda instance: instance.blocks[block].cells[name]


def _unit_run(compiled: CompiledUnit) -> Callable[[Instance, int], object]:
    def run(instance: Instance, now_us: int) -> None:
        instance.now_us = now_us
        compiled.run(instance)

    return run


def _all(tests: tuple[Evaluate, ...]) -> Evaluate:
    return lambda instance: all(test(instance) for test in tests)


def _any(tests: tuple[Evaluate, ...]) -> Evaluate:
    return lambda instance: any(test(instance) for test in tests)


def _odd(tests: tuple[Evaluate, ...]) -> Evaluate:
    return lambda instance: sum(bool(test(instance)) for test in tests) % 2 == 1


_CHAINS: dict[str, Callable[[tuple[Evaluate, ...]], Evaluate]] = {"AND": _all, "OR": _any, "XOR": _odd}

_COMPARISONS: dict[str, Callable[[Cell, Cell], bool]] = {
    "=": lambda left, right: left == right,
    "<>": lambda left, right: left != right,
    "<": lambda left, right: left < right,  # type: ignore[operator]
    "<=": lambda left, right: left <= right,  # type: ignore[operator]
    ">": lambda left, right: left > right,  # type: ignore[operator]
    ">=": lambda left, right: left >= right,  # type: ignore[operator]
}
