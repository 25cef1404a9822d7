"""A field of a section in a sequence file, as device types and requirement kinds declare it.

Each device type and each requirement kind says which fields it has; the reader parses them and the
JSON Schema is made from them, so that a new type needs no change elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from seqcheck.language.expression import Expression
from seqcheck.quantities.time import TimeRange


class FieldKind(Enum):
    """What may stand in a field, and the Python value that the reader makes of it."""

    TIME_RANGE = "time range"
    """`120..250 ms` -> TimeRange."""
    TIME = "time"
    """`60 ms` -> whole microseconds."""
    OUTPUT = "output"
    """Name of an output that a chart's actions write -> str. Declares the output."""
    OUTPUTS = "outputs"
    """A list of outputs -> tuple of str. Declares them."""
    SIGNAL = "signal"
    """Name of an input that the controller reads -> Signal. Declares the input. A mapping
    `{name: knife_home, delay: 2..5 ms}` gives the signal a delay (filter, remote I/O)."""
    CONDITION = "condition"
    """Structured Text -> Expression."""
    CONDITIONS = "conditions"
    """A list of Structured Text, or one -> tuple of Expression."""
    ENERGY = "energy"
    """Name of a safety circuit, or of a supply, whose energy the device needs -> str."""
    RATIO = "ratio"
    """`15 %` -> 0.15."""
    LENGTH = "length"
    """`1.5 m` -> millimetres as float."""
    LENGTH_RANGE = "length range"
    """`17.2..17.4 m` -> millimetres, least and most."""
    NUMBER = "number"
    """`2000000` or `2e6`, greater than zero -> float."""
    YEARS = "years"
    """`80 years` -> float."""
    COUNTS = "counts"
    """`13000 counts` -> float."""
    COUNTS_PER_LENGTH = "counts per length"
    """`998..1002 counts/m` -> counts per metre, least and most."""
    FORCE = "force"
    """`60 N` -> newtons as float."""
    SPEED = "speed"
    """`12 m/min` -> metres a second as float."""
    WORD = "word"
    """One of the words in `choices` -> str."""
    TEXT = "text"
    """Free text -> str."""
    NAME = "name"
    """A name defined elsewhere in the file (a step, an alarm, a device) -> str."""
    NAMES = "names"
    """A list of names, a comma-separated text, or one name -> tuple of str."""
    STATES = "states"
    """The states of a free-form device -> tuple of FreeState."""
    POSITIONS = "positions"
    """Positions by name, each with an input that is on in it -> tuple of FreeState."""
    ACTS = "acts"
    """What an operator does one after the other -> tuple of Act."""
    GROUP = "group"
    """A mapping whose entries are the fields in `members`; they are joined to the owner's values as `name.member`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field: its name as written in the file, what may stand in it, and one line of meaning for editors."""

    name: str
    kind: FieldKind
    meaning: str
    required: bool = False
    choices: tuple[str, ...] = ()
    members: tuple[Field, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """An input of the controller. `delay` is the time from a change at the device until a read can see it."""

    name: str
    delay: TimeRange | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeMove:
    """A way out of a state of a free-form device.

    `after` None and `act` None: at once when `when` holds. `after`: that long after `when` came to hold.
    `act`: the operator or the surroundings may do it at any time. `failure`: it is a failure mode of that name.
    """

    to: str
    when: Expression | None = None
    after: TimeRange | None = None
    act: str | None = None
    failure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeState:
    """A state of a free-form device: the facts true in it (`is_...`), the signals on in it, the ways out."""

    name: str
    facts: tuple[str, ...] = ()
    signals: tuple[Signal, ...] = ()
    moves: tuple[FreeMove, ...] = ()
    initial: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing an operator does in a procedure: an act of a device, or `repair`, within a human time."""

    device: str
    act: str
    within: TimeRange


FieldValue = (
    TimeRange
    | int
    | str
    | float
    | Signal
    | Expression
    | tuple[Expression, ...]
    | tuple[str, ...]
    | tuple[float, float]
    | tuple[FreeState, ...]
    | tuple[Act, ...]
)
