"""What the physics sees of a state."""

from __future__ import annotations

from typing import NamedTuple

from seqcheck.kernel.state import State
from seqcheck.simulate.physical_data import PhysicalData


class View(NamedTuple):
    """What the physics sees of a state: positions of drives, decurlers and guides, and whether the filled level is asked for."""

    places: tuple[int, ...]
    fill: bool
    decurlers: tuple[int, ...] = ()
    guides: tuple[int, ...] = ()


def view_of(data: PhysicalData, state: State) -> View:
    """What the physics sees of `state`."""
    plant = state.plant
    places = tuple([plant[drive.machine] for drive in data.drives])
    fill = data.accumulator is not None and state.written & data.accumulator.fill != 0
    decurlers = tuple([plant[part.machine] for part in data.decurlers])
    return View(places, fill, decurlers, tuple([plant[part.machine] for part in data.guides]))
