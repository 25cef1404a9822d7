"""Draw limit: no stop, and no stops that follow one another before the level is truly back, take more web than stated.

The limit of a machine that must be proven whatever its accumulator holds, or of one whose accumulator is still to be sized.
Judged as the accumulator requirement is: on true content, over all runs and allowed faults (see kernel/draw.py).
"""

from __future__ import annotations

from seqcheck.errors import Problem, SequenceFileError
from seqcheck.kernel.observer import DrawMonitor
from seqcheck.language.field import Field, FieldKind
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.requirements.accumulator import accumulator_setting, draw_monitor
from seqcheck.requirements.requirement import RequirementKind

_MILLIMETRES_PER_METRE = 1000


def _monitors(requirement: Requirement, sequence: Sequence) -> tuple[DrawMonitor, ...]:
    setting = accumulator_setting(requirement, sequence)
    limit_mm = requirement.value("draw at most", float)
    assert limit_mm is not None, "the reader asks for it"
    limit_us = setting.at_line_speed_us(limit_mm / _MILLIMETRES_PER_METRE)
    if limit_us <= 0:
        raise SequenceFileError(
            [Problem(place=requirement.place, expected="a length above zero to draw at most", found=f"{limit_mm} mm")]
        )
    return (draw_monitor(requirement, setting, limit_us, limit_us),)


DRAW_LIMIT = RequirementKind(
    name="draw_limit",
    meaning="no stop takes more web from the accumulator than stated",
    fields=(
        Field(
            name="draw at most",
            kind=FieldKind.LENGTH,
            meaning="web that one stop may take, or several in a row before the level is truly back",
            required=True,
        ),
    ),
    monitors=_monitors,
    on_machine=True,
)
