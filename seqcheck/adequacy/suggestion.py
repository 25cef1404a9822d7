"""The requirement that would notice a change: kind and expression, as a line of YAML to paste and to think about."""

from __future__ import annotations

from seqcheck.adequacy.change import Change, ChangeKind, Subject
from seqcheck.language.expression import Expression, StepTime, TimerCall, to_text, walk
from seqcheck.language.sequence import Action, Sequence, Step
from seqcheck.quantities.time import format_time
from seqcheck.reader.usage import outputs_of

UNDER = "under: any one fault"


def suggestion(sequence: Sequence, change: Change) -> str:
    """A requirement with the id NEW. It says what the sequence does at this place; whether it should is for its author to judge."""
    subject = change.subject
    match change.kind:
        case ChangeKind.DROP_TERM | ChangeKind.NEGATE_TERM if subject.chart:
            return _for_term(sequence, subject)
        case ChangeKind.DROP_TERM | ChangeKind.NEGATE_TERM if subject.device:
            return _line(f"always: NOT {subject.device}.is_on OR {_wrapped(subject.term)}, {UNDER}")
        case ChangeKind.DROP_TERM | ChangeKind.NEGATE_TERM:
            return _line(f"when: {subject.variable}, then: NOT {subject.variable}, within: 1 min, given: anything")
        case ChangeKind.SWAP_PRIORITY | ChangeKind.RETARGET:
            return _for_way(sequence, subject)
        case ChangeKind.REMOVE_WATCHDOG | ChangeKind.STRETCH_WATCHDOG:
            return _for_watchdog(sequence, subject)
        case ChangeKind.EXTEND_ACTION | ChangeKind.DROP_RESET:
            return _line(f"never: {subject.chart}.{subject.target}.X AND {subject.variable}")
        case ChangeKind.DROP_ACTION:
            return _for_action(sequence, subject)
        case ChangeKind.WIDEN_RANGE:
            return _for_range(sequence, subject)


def _line(body: str) -> str:
    return f"- {{id: NEW, {body}}}"


def _wrapped(term: Expression | None) -> str:
    assert term is not None
    return f"({to_text(term)})"


def _scan_us(sequence: Sequence) -> int:
    return sequence.scan.period.latest_us or 0


def _for_term(sequence: Sequence, subject: Subject) -> str:
    """A term that opens a way asks for a reaction; one that holds it shut, for an interlock, a least time, or an order."""
    term = subject.term
    assert term is not None
    if subject.is_alternative:
        return _for_way(sequence, subject)
    source, target = f"{subject.chart}.{subject.source[0]}.X", f"{subject.chart}.{subject.target}.X"
    if isinstance(term, StepTime):
        return _line(
            f"between: {source}, and: {target}, at least: {format_time(term.limit_us)}, {UNDER}, given: anything"
        )
    output = _turned_on(sequence, subject)
    if output is not None:
        return _line(f"interlock: {output}, only while: {to_text(term)}, {UNDER}")
    return _line(f"no: {target}, before: {to_text(term)}, since: {source}, {UNDER}")


def _turned_on(sequence: Sequence, subject: Subject) -> str | None:
    """An output that the target drives and the source does not."""
    steps = {step.name: step for step in sequence.chart(subject.chart).steps}
    before = {action.variable for source in subject.source for action in steps[source].actions}
    outputs = outputs_of(sequence)
    found = (action for action in _driving(steps[subject.target]) if action.variable in outputs)
    return next((action.variable for action in found if action.variable not in before), None)


def _driving(step: Step) -> tuple[Action, ...]:
    return tuple(action for action in step.actions if action.qualifier != "R")


def _for_way(sequence: Sequence, subject: Subject) -> str:
    """Where the condition holds in the step, the step after must be the one that the file says."""
    assert subject.term is not None
    within = format_time(2 * _scan_us(sequence))
    here = f"{subject.chart}.{subject.source[0]}.X"
    when = f"{here} AND {_wrapped(subject.term)}" if not isinstance(subject.term, StepTime) else here
    if isinstance(subject.term, StepTime):
        within = format_time(subject.term.limit_us + 2 * _scan_us(sequence))
    if _has_step_time(subject.term) and not isinstance(subject.term, StepTime):
        return _line(f"from: {subject.chart}.{subject.source[0]}, reaches: {subject.target}, within: 1 min, given: anything")
    return _line(f"when: {when}, then: {subject.chart}.{subject.target}.X, within: {within}, given: anything")


def _has_step_time(term: Expression) -> bool:
    return any(isinstance(part, StepTime | TimerCall) for part in walk(term))


def _for_action(sequence: Sequence, subject: Subject) -> str:
    """Where outputs act at the end of the scan, the step and its output come together; else the output comes after."""
    step = f"{subject.chart}.{subject.target}.X"
    if sequence.scan.write.latest_us == 0:
        return _line(f"always: NOT {step} OR {subject.variable}")
    within = format_time(2 * _scan_us(sequence))
    return _line(f"when: {step}, then: {subject.variable}, within: {within}, given: anything")


def _for_watchdog(sequence: Sequence, subject: Subject) -> str:
    limit = format_time(subject.time_us + 2 * _scan_us(sequence))
    return _line(
        f"when: {subject.chart}.{subject.target}.X, then: NOT {subject.chart}.{subject.target}.X OR {subject.variable}, "
        f"within: {limit}, {UNDER}, given: anything"
    )


def _for_range(sequence: Sequence, subject: Subject) -> str:
    device = sequence.device(subject.device)
    output = device.value("output", str) if device is not None else None
    limit = format_time(subject.time_us)
    if device is not None and output is not None and device.type_name == "cylinder":
        return _line(f"when: {output}, then: {device.name}.is_out OR NOT {output}, within: {limit}, given: anything")
    first = sequence.charts[0]
    return _line(f"from: {first.initial.name}, reaches: {first.steps[-1].name}, within: {limit}, given: anything")
