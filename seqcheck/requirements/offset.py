"""Offset: the new web is joined to the old one with no more than so much between their edges, to the side.

The picture: guided, the old web lies within the guide's accuracy. Held or sent to its centre, the guide no longer corrects, and
what comes lies up to the weave to one side where the guide was set for the other; of that, web/lateral.py says how much has reached
the splice by the length that still runs until the web stands. The new web was laid within a tolerance of its own. So

    offset <= accuracy + 2 weave (1 - exp(-s / span)) + placed within,        s = (longest time unguided in motion) x speed

Two things must hold besides: through the step that joins them the guide is held and the web stands; and between two splices
it has guided again. The length is counted at full speed, so the value is a bound; if it breaks its limit, nothing is decided.
Source: J. J. Shelton and K. N. Reid (1971), first-order lateral model, from memory; addition of tolerances is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import Enters, Holds, Monitor, PrecedenceMonitor, StateMonitor, StopwatchMonitor
from seqcheck.language.expression import And, Expression, Or
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Device, Requirement, Sequence
from seqcheck.quantities.time import MICROSECONDS_PER_SECOND
from seqcheck.requirements.moment import name_at, negated, steps_named
from seqcheck.requirements.requirement import Figure, RequirementKind, Spread
from seqcheck.web.lateral import unguided_offset_mm

_LONGEST_US = 600 * MICROSECONDS_PER_SECOND
"""Longest time that is measured: long before, the web lies as far off as it can."""
_NEEDED = ("accuracy", "weave", "span")


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetSetting:
    """The numbers of one requirement. `speed_m_per_s` is the fastest that the web runs."""

    accuracy_mm: float
    weave_mm: float
    span_m: float
    placed_mm: float
    speed_m_per_s: float

    def offset_mm(self, unguided_us: int) -> float:
        """The bound on the offset after so long unguided in motion."""
        travel_m = self.speed_m_per_s * unguided_us / MICROSECONDS_PER_SECOND
        return self.placed_mm + unguided_offset_mm(
            accuracy_mm=self.accuracy_mm, weave_mm=self.weave_mm, travel_m=travel_m, span_m=self.span_m
        )


def offset_setting(requirement: Requirement, sequence: Sequence) -> OffsetSetting:
    """The numbers of a requirement.

    Raises SequenceFileError if guide or drive is none, a number is missing, or no run could keep the limit.
    """
    guide = _device(requirement, sequence, "guide", ("web_guide",))
    _device(requirement, sequence, "drive", ("drive",))
    missing = [name for name in _NEEDED if guide.value(name, float) is None]
    if missing:
        raise _problem(requirement, "guide", f"a guide with {', '.join(missing)}", repr(guide.name))
    if sequence.machine.line is None:
        raise _problem(requirement, "drive", "the section line with its speed", "none in this file")
    unwind = sequence.machine.unwind
    setting = OffsetSetting(
        accuracy_mm=guide.value("accuracy", float) or 0.0,
        weave_mm=guide.value("weave", float) or 0.0,
        span_m=(guide.value("span", float) or 0.0) / 1000,
        placed_mm=requirement.value("placed within", float) or 0.0,
        speed_m_per_s=sequence.machine.line.speed_m_per_s * (1 + (unwind.overspeed_ratio if unwind else 0.0)),
    )
    if setting.span_m <= 0:
        raise _problem(requirement, "guide", "a guide with a span above zero", "0 mm")
    limit_mm = requirement.value("offset at most", float) or 0.0
    if setting.offset_mm(0) > limit_mm:
        expected = f"at least {setting.offset_mm(0):g} mm, the guide's accuracy and the placing of the new web"
        raise _problem(requirement, "offset at most", expected, f"{limit_mm:g} mm")
    return setting


def _device(requirement: Requirement, sequence: Sequence, field: str, types: tuple[str, ...]) -> Device:
    name = requirement.value(field, str) or ""
    device = sequence.device(name)
    if device is None or device.type_name not in types:
        raise _problem(requirement, field, f"a device of type {' or '.join(types)}", repr(name))
    return device


def _problem(requirement: Requirement, field: str, expected: str, found: str) -> SequenceFileError:
    entry = requirement.entry(field)
    place = requirement.place if entry is None else entry.place
    return SequenceFileError([Problem(place=place, expected=expected, found=found)])


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[Monitor, ...]:
    offset_setting(requirement, sequence)
    guide = str(requirement.value("guide", str))
    guiding, held = name_at(requirement, f"{guide}.is_guiding"), name_at(requirement, f"{guide}.is_held")
    unguided = _unguided(requirement, sequence, guide)
    stopped = name_at(requirement, f"{requirement.value('drive', str)}.is_stopped")
    joined = steps_named(requirement, sequence, "joined in")
    joining = _in_steps(requirement, joined)
    secured = And(requirement.place, (held, stopped))
    return (
        StopwatchMonitor(
            requirement=requirement.id,
            start=(Holds(And(requirement.place, (_any_of(requirement, unguided), negated(stopped)))),),
            end=(Holds(stopped),),
            cancel=(Holds(guiding),),
            at_most_us=None,
            length_us=_LONGEST_US,
        ),
        StateMonitor(
            requirement=requirement.id,
            bad=And(requirement.place, (joining, negated(secured))),
            parts=(joining,),
        ),
        PrecedenceMonitor(
            requirement=requirement.id,
            first=(Holds(guiding),),
            second=joined,
            since=(Holds(And(requirement.place, tuple(negated(part) for part in unguided))),),
        ),
    )


def _unguided(requirement: Requirement, sequence: Sequence, guide: str) -> tuple[Expression, ...]:
    """The guide stands or goes to its centre, and corrects nothing. Whatever else follows, it has to guide again first."""
    device = sequence.device(guide)
    can_centre = device is not None and device.entry("centre") is not None
    facts = ("is_held", "is_centring") if can_centre else ("is_held",)
    return tuple(name_at(requirement, f"{guide}.{fact}") for fact in facts)


def _any_of(requirement: Requirement, conditions: tuple[Expression, ...]) -> Expression:
    return conditions[0] if len(conditions) == 1 else Or(requirement.place, conditions)


def _in_steps(requirement: Requirement, steps: tuple[Enters, ...]) -> Expression:
    return _any_of(requirement, tuple(name_at(requirement, f"{step.chart}.{step.step}.X") for step in steps))


def _measured(
    requirement: Requirement, sequence: Sequence, spreads: tuple[Spread | None, ...]
) -> tuple[Figure, ...]:
    """The farthest that the edges may lie apart."""
    unguided_us = spreads[0].longest_us if spreads[0] is not None else 0
    worst_mm = offset_setting(requirement, sequence).offset_mm(unguided_us)
    limit_mm = requirement.value("offset at most", float)
    return (Figure(quantity="offset of new to old web, most", unit="mm", worst=worst_mm, limit=limit_mm),)


OFFSET = RequirementKind(
    name="offset",
    meaning="the new web is joined to the old one with no more than so much between their edges",
    fields=(
        Field(
            name="offset at most",
            kind=FieldKind.LENGTH,
            meaning="the greatest distance between the edges of old and new web",
            required=True,
        ),
        Field(name="guide", kind=FieldKind.NAME, meaning="the web guide of the old web", required=True),
        Field(
            name="drive",
            kind=FieldKind.NAME,
            meaning="the drive whose standstill is that of the web at the splice",
            required=True,
        ),
        Field(
            name="joined in",
            kind=FieldKind.NAMES,
            meaning="the steps in which the webs are joined: the guide held, the web standing",
            required=True,
        ),
        Field(
            name="placed within",
            kind=FieldKind.LENGTH,
            meaning="how far off the new web may have been laid; exactly if not given",
        ),
    ),
    monitors=_monitors,
    measured=_measured,
    needs_given=True,
    rests_on_figures=True,
    on_machine=True,
)
