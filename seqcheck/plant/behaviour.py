"""What every device type says about itself, in one form: positions, and the moves between them.

The picture: a device is always in one *position* (a cylinder: home, leaving, travelling, arriving, out). It moves on
 - at once, when its drives change (the valve is energised: home -> leaving),
 - after a time range (leaving -> arriving after 120..250 ms),
 - when somebody acts (the guard is opened: at any time, or never),
 - or not any more, because it failed: every failure mode is a copy of the positions (*mode*) with fewer or other moves.

What the machine does are *facts* (`knife.is_moving`); what it tells the controller are *signals*. They are kept apart on
purpose: a switch stuck on makes them differ. Contacts that fail (stuck on, stuck off) are no positions; the kernel
puts them over the signal of a sound body.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.language.expression import Expression
from seqcheck.language.field import Signal
from seqcheck.quantities.time import TimeRange


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A way from one position to another of the same mode.

    `when` lists (drive, value) pairs that must all be so; an empty tuple always is.
    `after` None and `act` None: *driven*, happens in the instant in which `when` holds.
    `after` given: *timed*, pending while the device stays in a position that has a move of this `name` and range.
    `act` given: *free*, somebody's act (the name of the act, e.g. `opens`), at any time while `when` holds, or never.
    """

    name: str
    to: str
    when: tuple[tuple[str, bool], ...] = ()
    after: TimeRange | None = None
    act: str | None = None
    unobserved: bool = False
    """True for acts of the surroundings rather than of an operator."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A position in a mode ("" is healthy). `facts` and `signals` (roles) are those true in it.

    `fails_as` gives the position that a failure in this position leads to, where it has another name in that mode.
    `repaired_as` (in a failed mode) gives the healthy position after repair, where it has another name.
    `is_rest`: a machine can be found so at power-up (used by `start: anywhere`).
    """

    name: str
    mode: str = ""
    facts: frozenset[str] = frozenset()
    signals: frozenset[str] = frozenset()
    moves: tuple[Move, ...] = ()
    fails_as: tuple[tuple[str, str], ...] = ()
    repaired_as: str | None = None
    is_rest: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """A failure mode: its name within the device (`jams`), a sentence, and the mode whose positions it leads to.

    It may happen in every healthy position that has a counterpart in `mode`. `contact` names the signal role instead,
    for `stuck_on` and `stuck_off` contacts; then `mode` is `stuck_on` or `stuck_off`.
    """

    name: str
    text: str
    mode: str
    contact: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """What drives a device: a role name used in `Move.when` and the condition (outputs, energies, facts) behind it."""

    role: str
    condition: Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """A signal: the role used in `Position.signals`, and the input of the controller it is wired to."""

    role: str
    signal: Signal


@dataclass(frozen=True, slots=True, kw_only=True)
class Behaviour:
    """A device in the form the kernel runs. `moving_facts` are facts that mean dangerous motion if the device is a hazard."""

    device: str
    positions: tuple[Position, ...]
    initial: str
    facts: tuple[str, ...]
    drives: tuple[Drive, ...] = ()
    wires: tuple[Wire, ...] = ()
    failures: tuple[Failure, ...] = ()
    moving_facts: tuple[str, ...] = ()


def in_mode(mode: str, positions: tuple[Position, ...], *, keep: frozenset[str]) -> tuple[Position, ...]:
    """Copies of healthy `positions` in failed `mode` that keep only the moves named in `keep`."""
    return tuple(
        Position(
            name=position.name,
            mode=mode,
            facts=position.facts,
            signals=position.signals,
            moves=tuple(move for move in position.moves if move.name in keep),
            is_rest=position.is_rest,
        )
        for position in positions
        if position.mode == ""
    )


def contact_failures(wires: tuple[Wire, ...]) -> tuple[Failure, ...]:
    """The two failures of each contact: it stays on, or it stays (or goes) off as when its wire breaks."""
    return tuple(
        Failure(
            name=f"{wire.role}_signal_{word}",
            text=f"signal {wire.signal.name} {sentence}",
            mode=word,
            contact=wire.role,
        )
        for wire in wires
        for word, sentence in (("stuck_on", "is stuck on"), ("stuck_off", "is stuck off"))
    )
