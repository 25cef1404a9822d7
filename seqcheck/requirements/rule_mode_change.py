"""Rules for modes: a change of mode starts nothing; what is to move is started after it."""

from __future__ import annotations

from seqcheck.language.expression import Expression, Or
from seqcheck.language.rule_call import RuleCall
from seqcheck.language.sequence import Hypothesis, Requirement, Sequence
from seqcheck.requirements.rule_set import RuleFile, RuleSet


def _expand(call: RuleCall, sequence: Sequence) -> tuple[Requirement, ...]:
    file = RuleFile(call, sequence)
    assert call.start is not None, "the reader asks for a start command"
    if not sequence.modes:
        raise file.lacks("a section 'modes'")
    conditions = tuple(mode.condition for mode in sequence.modes)
    changed: Expression = conditions[0] if len(conditions) == 1 else Or(call.place, conditions)
    return tuple(
        file.requirement(
            f"M1.{output}",
            "order",
            f"A change of mode does not turn {output} on; a start is commanded after it.",
            "IEC 60204-1 9.2.3.5",
            Hypothesis(),
            no=file.name(output),
            before=call.start,
            since=changed,
        )
        for output in file.outputs()
    )


MODE_CHANGE = RuleSet(
    name="mode change",
    meaning="no hazardous output comes on after a change of mode before a start command",
    expand=_expand,
    asks_for="the deliberate start command, such as start_pressed OR jog_held",
    needs_condition=True,
)
