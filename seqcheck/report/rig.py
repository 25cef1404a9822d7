"""How a failure is brought about at the machine: which wire is opened, what is blocked, and how all is put back.

Source: common practice at commissioning, no source. Failures without a line here are brought about
as their meaning says, by whoever is qualified to judge how.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.plant.behaviour import Behaviour, Failure

ISOLATED = "Isolate all energy, lock it out and verify that it is gone before touching the machine."

BLOCKED = "fix it where it is with a rated blocking device, or shut off and unplug its valve so that it cannot move"
BODIES = {
    "jams": BLOCKED,
    "hangs": BLOCKED,
    "sticks": BLOCKED,
    "seizes": BLOCKED,
    "slow": "throttle it until it moves slower than the range of the file",
    "valve_sticks": "unplug or hold the coil of its valve so that the valve stays where it is",
    "leaks": "vent its air through a test valve",
    "lost": "switch its energy off at the source",
    "not_built": "open its vacuum line through a test valve",
    "does_not_drop": "hold the contactor or valve of the energy on by an approved test adapter",
    "stays_on": "hold its energy on by an approved test adapter",
    "stays_off": "unplug its coil or enable",
    "does_not_start": "take away the enable of its drive",
    "does_not_stop": "hold the run command of its drive by the drive's own test mode",
    "coasts": "take away the command of its brake",
    "lock_does_not_release": "unplug the coil of the lock, so that the bolt stays in",
    "breaks": "cut the web by hand at standstill, or pull it out of its sensor",
    "stays_in": "hold it in the pressed position",
    "missed": "run a splice without tape",
    "doubled": "put two tapes on the splice",
    "out_of_tolerance": "put the splice deliberately out of its place",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """One preparation that serves one failure, or both failures of one contact. `apply` is done in each check."""

    key: str
    title: str
    prepare: tuple[str, ...]
    apply: str
    restore: tuple[str, ...]


def rig_of(behaviour: Behaviour, failure: Failure) -> Rig:
    """What to prepare for a failure of a device, and what to do in the moment of the check."""
    if failure.contact is not None:
        return _contact(behaviour, failure, failure.contact)
    way = BODIES.get(failure.name, "no usual way is known; a qualified person decides how it is brought about or simulated")
    name = f"{behaviour.device}.{failure.name}"
    return Rig(
        key=name,
        title=f"{behaviour.device}: {failure.text}",
        prepare=(ISOLATED, f"Prepare for {name}: {way}."),
        apply=f"Bring about {name} ({failure.text}).",
        restore=(ISOLATED, f"Take away what was prepared for {name}; see that {behaviour.device} moves and holds as before."),
    )


def _contact(behaviour: Behaviour, failure: Failure, role: str) -> Rig:
    signal = next(wire.signal.name for wire in behaviour.wires if wire.role == role)
    is_on = failure.mode == "stuck_on"
    where = f"into the wire of input {signal} ({behaviour.device}, {role}) at its terminal"
    verb, held = ("Bridge", "on") if is_on else ("Open", "off")
    return Rig(
        key=f"{behaviour.device} {role}",
        title=f"{behaviour.device}: wire of input {signal}",
        prepare=(ISOLATED, f"Put a test switch with jumper {where}."),
        apply=f"{verb} the wire of {signal} with the test switch, so that the input stays {held}.",
        restore=(ISOLATED, f"Take the test switch of {signal} out, restore the wire; see the input follow {behaviour.device}."),
    )
