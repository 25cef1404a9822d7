"""Whatever its drives, a supplied cylinder goes where they send it: the rule apart from the code, against every position."""

from __future__ import annotations

from itertools import product

import pytest
from plant_examples import behaviour, name

from seqcheck.language.field import FieldValue
from seqcheck.plant.behaviour import Behaviour, Position

VALVES = ("single solenoid", "double solenoid", "closed centre", "open centre")
FALL_BACKS = ("holds", "drifts", "drops home", "drops out")


def _variant(valve: str, fall_back: str, *, bands: bool) -> Behaviour:
    changes: dict[str, FieldValue | None] = {
        "valve": valve,
        "air": "air",
        "without___air": fall_back,
        "held___by": name("pin.is_out"),
    }
    if valve != "single solenoid":
        changes["opposite"] = "clamp_open_now"
    if not bands:
        changes["switches__band"] = None
    return behaviour("cylinder", **changes)  # type: ignore[arg-type]


def _settled(subject: Behaviour, start: Position, held: dict[str, bool]) -> Position:
    """Where the driven moves lead at once."""
    positions = {position.name: position for position in subject.positions if position.mode == ""}
    position = start
    while True:
        ways = [
            move.to
            for move in position.moves
            if move.after is None and all(held[role] == value for role, value in move.when)
        ]
        if not ways:
            return position
        position = positions[ways[0]]


def _wanted(valve: str, fall_back: str, held: dict[str, bool]) -> str | None:
    """What the piston does: the rule, apart from the code. None: the spool of a double solenoid stays, wherever it is."""
    if held["held"]:
        return "stands"
    out, home = held["output"], held.get("opposite", not held["output"])
    if held["air"] and out != home:
        return "goes out" if out else "goes home"
    if held["air"] and valve == "double solenoid":
        return None
    if held["air"] and valve == "closed centre":
        return "stands"
    return {"holds": "stands", "drops home": "goes home", "drops out": "goes out"}.get(fall_back, "drifts")


def _does(position: Position) -> str:
    """What time brings there: nothing, a way out, a way home, or a drift."""
    timed = [move.name for move in position.moves if move.after is not None]
    if not timed:
        return "stands"
    if all("drift" in name for name in timed):
        return "drifts"
    return "goes out" if any("out" in name and "clear" not in name for name in timed) else "goes home"


@pytest.mark.parametrize(
    ("valve", "fall_back", "bands"),
    [*((*pair, False) for pair in product(VALVES, FALL_BACKS)), ("open centre", "drops out", True)],
)
def test_from_everywhere_it_does_what_the_drives_say(valve: str, fall_back: str, bands: bool) -> None:
    subject = _variant(valve, fall_back, bands=bands)
    roles = [drive.role for drive in subject.drives]
    for position in (part for part in subject.positions if part.mode == ""):
        for values in product((False, True), repeat=len(roles)):
            held = dict(zip(roles, values, strict=True))
            wanted, settled = _wanted(valve, fall_back, held), _settled(subject, position, held)
            has_arrived = (wanted == "goes out" and "is_out" in settled.facts) or (
                wanted == "goes home" and "is_home" in settled.facts
            )
            if wanted is not None:
                assert _does(settled) == ("stands" if has_arrived else wanted), (position.name, held)
            assert ("is_moving" in settled.facts) == (
                _does(settled) != "stands" and "is_between" in settled.facts
            )


@pytest.mark.parametrize(("valve", "fall_back"), list(product(VALVES, FALL_BACKS)))
def test_no_drive_carries_it_anywhere_in_no_time(valve: str, fall_back: str) -> None:
    """Its place, and with it its switches, changes only as time passes."""
    subject = _variant(valve, fall_back, bands=False)
    roles = [drive.role for drive in subject.drives]
    ends = {"is_home", "is_out"}
    for position in (part for part in subject.positions if part.mode == "" and part.facts & ends):
        for values in product((False, True), repeat=len(roles)):
            settled = _settled(subject, position, dict(zip(roles, values, strict=True)))
            assert settled.facts & ends <= position.facts & ends
