"""The lock of a guard: a bolt that goes in only while the guard is closed, and then keeps it closed.

The picture: closed -> locking -> locked -> unlocking -> closed, and open beside closed. The guard can still
be opened while the bolt is only on its way in; on its way out the bolt counts as in until it is out.
"""

from __future__ import annotations

from dataclasses import replace

from seqcheck.plant.behaviour import Failure, Move, Position
from seqcheck.plant.device_entry import up_to
from seqcheck.plant.failed_travel import linked
from seqcheck.quantities.time import TimeRange

_ON, _OFF = (("lock", True),), (("lock", False),)
_CLOSED_ONLY = frozenset({"closed"})
_OPENS = Move(name="opens", to="open", act="opens")
_FORCED = Move(name="opens", to="forced_open", act="opens")

LOCK_FACTS = ("is_open", "is_closed", "is_locked", "is_unlocked")
"""`is_locked`: bolt in and guard closed; `is_unlocked`: bolt fully out."""

LOCK_FAILURES = (
    Failure(name="lock_does_not_hold", text="lock does not keep the guard closed", mode="not_holding"),
    Failure(name="lock_does_not_release", text="bolt does not come out", mode="not_releasing"),
)
"""What can fail in a guard lock."""


def lock_positions(engage: TimeRange, release: TimeRange) -> tuple[Position, ...]:
    """The guard's positions and the failed modes of its lock; the drive `lock` asks for the bolt to be in."""
    healthy = _healthy(engage, release)
    return (
        *linked(healthy, {"not_releasing": {"unlocking": "locked", "resumed_unlocking": "locked"}}),
        *_not_holding(healthy),
        *_not_releasing(healthy),
    )


def with_escape(positions: tuple[Position, ...]) -> tuple[Position, ...]:
    """The positions with an escape release: whoever is inside pulls the bolt and opens the guard at any time, in any mode."""
    escapes = Move(name="escapes", to="open", act="escapes")
    return tuple(
        replace(position, moves=(*position.moves, escapes)) if "is_closed" in position.facts else position
        for position in positions
    )


def _healthy(engage: TimeRange, release: TimeRange) -> tuple[Position, ...]:
    return (
        Position(
            name="closed",
            facts=frozenset({"is_closed", "is_unlocked"}),
            signals=_CLOSED_ONLY,
            moves=(Move(name="lock", to="locking", when=_ON), _OPENS),
            is_rest=True,
        ),
        Position(
            name="open",
            facts=frozenset({"is_open", "is_unlocked"}),
            moves=(Move(name="closes", to="closed", act="closes"),),
            is_rest=True,
        ),
        _locking("locking", engage),
        Position(
            name="locked",
            facts=frozenset({"is_closed", "is_locked"}),
            signals=frozenset({"closed", "locked"}),
            moves=(Move(name="unlock", to="unlocking", when=_OFF),),
            is_rest=True,
        ),
        _unlocking("unlocking", release),
        _locking("resumed_locking", up_to(engage)),
        _unlocking("resumed_unlocking", up_to(release)),
    )


def _locking(name: str, within: TimeRange) -> Position:
    """The bolt is on its way in."""
    engage = Move(name="engage", to="locked", after=within)
    turned = Move(name="unlock", to="resumed_unlocking", when=_OFF)
    return Position(
        name=name, facts=frozenset({"is_closed"}), signals=_CLOSED_ONLY, moves=(engage, turned, _OPENS)
    )


def _unlocking(name: str, within: TimeRange) -> Position:
    """The bolt is on its way out."""
    release = Move(name="release", to="closed", after=within)
    turned = Move(name="lock", to="resumed_locking", when=_ON)
    return Position(name=name, facts=frozenset({"is_closed"}), signals=_CLOSED_ONLY, moves=(release, turned))


def _not_holding(healthy: tuple[Position, ...]) -> tuple[Position, ...]:
    """The guard can be opened although the bolt is in; the lock then still says that it is in."""
    forced = Position(
        name="forced_open",
        mode="not_holding",
        facts=frozenset({"is_open"}),
        signals=frozenset({"locked"}),
        moves=(
            Move(name="unlock", to="open", when=_OFF),
            Move(name="closes", to="locked", act="closes"),
        ),
        repaired_as="open",
    )
    copies = (replace(position, mode="not_holding") for position in healthy)
    return (*(_made_to_open(position) for position in copies), forced)


def _made_to_open(position: Position) -> Position:
    forced = {"locked": _FORCED, "unlocking": _OPENS, "resumed_unlocking": _OPENS}
    if position.name not in forced:
        return position
    return replace(position, moves=(*position.moves, forced[position.name]))


def _not_releasing(healthy: tuple[Position, ...]) -> tuple[Position, ...]:
    """A bolt that is in, or on its way out, stays in."""
    kept = {
        "closed": None,
        "open": None,
        "locking": "unlock",
        "resumed_locking": "unlock",
        "locked": "unlock",
    }
    return tuple(
        replace(
            position,
            mode="not_releasing",
            moves=tuple(move for move in position.moves if move.name != kept[position.name]),
        )
        for position in healthy
        if position.name in kept
    )
