"""All requirement kinds. A new kind is one file and one line here."""

from __future__ import annotations

from seqcheck.requirements.accumulator import ACCUMULATOR
from seqcheck.requirements.always import ALWAYS
from seqcheck.requirements.completion import COMPLETION
from seqcheck.requirements.detection import DETECTION
from seqcheck.requirements.draw_limit import DRAW_LIMIT
from seqcheck.requirements.duration import DURATION
from seqcheck.requirements.interlock import INTERLOCK
from seqcheck.requirements.never import NEVER
from seqcheck.requirements.offset import OFFSET
from seqcheck.requirements.order import ORDER
from seqcheck.requirements.reaction import REACTION
from seqcheck.requirements.recovery import RECOVERY
from seqcheck.requirements.refill import REFILL
from seqcheck.requirements.reject import REJECT
from seqcheck.requirements.requirement import RequirementKind
from seqcheck.requirements.roll_end import ROLL_END
from seqcheck.requirements.stop_position import STOP_POSITION
from seqcheck.requirements.tail import TAIL
from seqcheck.requirements.take_up import TAKE_UP
from seqcheck.requirements.tension import TENSION

REQUIREMENT_KINDS: dict[str, RequirementKind] = {
    kind.name: kind
    for kind in (
        INTERLOCK,
        NEVER,
        ALWAYS,
        REACTION,
        ORDER,
        DURATION,
        COMPLETION,
        DETECTION,
        RECOVERY,
        ACCUMULATOR,
        DRAW_LIMIT,
        REFILL,
        ROLL_END,
        TENSION,
        TAIL,
        STOP_POSITION,
        TAKE_UP,
        REJECT,
        OFFSET,
    )
}
