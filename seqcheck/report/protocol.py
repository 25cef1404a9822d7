"""The acceptance test of the machine as data; `protocol_page.py` and `protocol_markdown.py` write it down.

The picture: a technician stands at the machine with paper. A *set-up* is what is prepared once (a wire opened, a jumper set); under
it come *checks*, each with what to do, what must happen, what to write down, and a place to sign.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.report.head import Head
from seqcheck.report.troubleshooting import AlarmEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLine:
    """A check of a fault in one step (`chart.step`): alarm and safe state with their times, where it rests, what is seen before."""

    step: str
    alarm: str
    safe: str
    rests_in: str
    on_the_way: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCheck:
    """One check at the machine.

    `key` is unique in a protocol. `do`: what to do, in order. `expect`: what must happen, with times from the proof. `write_down`:
    what is measured or seen. `in_steps`: steps in each of which it is done, one line each. `warn`: what somebody must know
    first. `is_proven` False: nothing is proven that could be expected, so there is nothing to accept.
    """

    key: str
    title: str
    do: tuple[str, ...]
    expect: tuple[str, ...]
    write_down: tuple[str, ...]
    in_steps: tuple[StepLine, ...] = ()
    warn: tuple[str, ...] = ()
    is_proven: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """What is prepared once, `restore` afterwards, and the checks that it serves."""

    title: str
    prepare: tuple[str, ...]
    restore: tuple[str, ...]
    checks: tuple[MachineCheck, ...]
    is_fault: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class InputPoint:
    """An input of the controller: the device and contact behind it, and what somebody does to see it change."""

    name: str
    device: str
    contact: str
    delay: str
    seen_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputPoint:
    """An output of the controller: what it drives, the hazards of that, and the steps in which it is written."""

    name: str
    drives: tuple[str, ...]
    hazards: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Protocol:
    """The whole test. `routine` is done in every check of a fault. `watched`: requirements
    (id, text) that must hold in every check with a fault. `not_tested`: faults without a check at the machine, with the reason.
    `timing` says from when times run.
    """

    head: Head
    caution: tuple[str, ...]
    inputs: tuple[InputPoint, ...]
    outputs: tuple[OutputPoint, ...]
    set_ups: tuple[SetUp, ...]
    routine: tuple[str, ...]
    watched: tuple[tuple[str, str], ...]
    not_tested: tuple[tuple[str, str], ...]
    alarms: tuple[AlarmEntry, ...]
    safe_state: str
    timing: str

    @property
    def checks(self) -> int:
        """How many checks there are."""
        return sum(len(set_up.checks) for set_up in self.set_ups)

    @property
    def parts(self) -> tuple[tuple[str, str, tuple[str, ...], tuple[SetUp, ...]], ...]:
        """The set-ups in two parts: (anchor, title, routine, set-ups) of the sound machine and of faults."""
        sound = tuple(one for one in self.set_ups if not one.is_fault)
        faulty = tuple(one for one in self.set_ups if one.is_fault)
        return ("sound", "Checks of the sound machine", (), sound), ("faults", "Checks of faults", self.routine, faulty)

    def number(self, set_up: SetUp) -> int:
        """The number of a set-up, from 1."""
        return self.set_ups.index(set_up) + 1
