"""A rule set: rules of standards that a file can ask for, which become ordinary requirements.

Clauses are those of check-values of this project: IEC 60204-1:2016, ISO 13850:2015, ISO 14118:2017, ISO 14119:2013, clause numbers
from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.build import behaviours_of
from seqcheck.kernel.condition import names_of
from seqcheck.language.expression import And, Expression, Name, Not, Or
from seqcheck.language.field import FieldValue
from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Circuit, Device, Entry, Hypothesis, Requirement, Sequence
from seqcheck.plant.behaviour import Behaviour

ANY_ONE = Hypothesis(count=1)
"""Under any one fault."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSet:
    """A set called `name` in a file. `asks_for`: what its value says, "" where it takes none; `needs_condition`: that is a
    condition.

    `expand` makes the requirements; raises SequenceFileError where the file lacks what a rule needs.
    """

    name: str
    meaning: str
    expand: Callable[[RuleCall, Sequence], tuple[Requirement, ...]]
    asks_for: str = ""
    needs_condition: bool = False
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RuleFile:
    """What rules look for in a sequence."""

    call: RuleCall
    sequence: Sequence

    def hazards(self) -> tuple[Behaviour, ...]:
        """The behaviours of hazardous devices. Raises SequenceFileError where the file has none."""
        hazardous = {device.name for device in self.sequence.devices if device.hazard}
        found = tuple(part for part in behaviours_of(self.sequence) if part.device in hazardous)
        if not found:
            raise self.lacks("a device with 'hazard'")
        return found

    def outputs(self) -> tuple[str, ...]:
        """The outputs that drive hazardous devices."""
        written = {a.variable for chart in self.sequence.charts for step in chart.steps for a in step.actions}
        names = (name for part in self.hazards() for drive in part.drives for name in names_of(drive.condition))
        return tuple(name for name in dict.fromkeys(names) if name in written)

    def circuits(self) -> tuple[Circuit, ...]:
        """The circuits. Raises SequenceFileError where the file has none."""
        if not self.sequence.circuits:
            raise self.lacks("a safety circuit in 'circuits'")
        return self.sequence.circuits

    def circuits_on(self, device: Device) -> tuple[Circuit, ...]:
        """The circuits that `device` holds: a channel names its input or a fact of it."""
        own = next(part for part in behaviours_of(self.sequence) if part.device == device.name)
        names = {wire.signal.name for wire in own.wires} | {f"{device.name}.{fact}" for fact in own.facts}
        return tuple(
            circuit
            for circuit in self.sequence.circuits
            if any(name in names for channel in circuit.channels for name in names_of(channel))
        )

    def guards(self) -> tuple[Device, ...]:
        """The guards. Raises SequenceFileError where the file has none."""
        found = tuple(device for device in self.sequence.devices if device.type_name == "guard")
        if not found:
            raise self.lacks("a device of type guard")
        return found

    def emergency_stops(self) -> tuple[Device, ...]:
        """Devices of that type, and free ones with a fact `is_pressed` that hold a circuit. Raises SequenceFileError for none."""
        facts = {part.device: part.facts for part in behaviours_of(self.sequence)}
        found = tuple(
            device
            for device in self.sequence.devices
            if device.type_name == "emergency_stop"
            or (device.type_name == "free" and "is_pressed" in facts[device.name] and self.circuits_on(device))
        )
        if not found:
            raise self.lacks("a device of type emergency_stop")
        return found

    def lacks(self, what: str) -> SequenceFileError:
        """The problem that the file lacks `what`."""
        expected = f"{what}, which the rules {self.call.name!r} need"
        return SequenceFileError([Problem(place=self.call.place, expected=expected, found="nothing")])

    # -- conditions and requirements, as if they stood where the rules are called --------------------------------

    def name(self, text: str) -> Name:
        """A name."""
        return Name(self.call.place, text)

    def no(self, text: str) -> Not:
        """The opposite of a name."""
        return Not(self.call.place, self.name(text))

    def both(self, first: Expression, second: Expression) -> And:
        """Both conditions."""
        return And(self.call.place, (first, second))

    def any_of(self, names: tuple[str, ...]) -> Expression:
        """One of the names."""
        found = tuple(self.name(text) for text in names)
        return found[0] if len(found) == 1 else Or(self.call.place, found)

    def requirement(
        self, identity: str, kind: str, text: str, clause: str, under: Hypothesis, **values: FieldValue
    ) -> Requirement:
        """A requirement of this set; fields with a blank in their name are given with an underscore."""
        entries = tuple(
            Entry(name=name.replace("_", " "), value=value, place=self.call.place) for name, value in values.items()
        )
        return Requirement(
            id=identity,
            place=self.call.place,
            kind=kind,
            text=f"{text} (rules: {self.call.name})",
            entries=entries,
            under=under,
            clause=f"{clause} (from memory)",
        )
