"""One change tried: does it change anything, and which requirement notices first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from seqcheck.adequacy.batch import monitors_in, owner_names
from seqcheck.adequacy.change import Anywhere, Change, ChangeKind, OnceLate
from seqcheck.adequacy.changed_core import (
    ChangedCore,
    divergence,
    has_same_layout,
    sharing,
    stretched_timer,
    touches,
    without_watchdog,
)
from seqcheck.adequacy.local import explore_around
from seqcheck.adequacy.prepared import Known, Prepared, figures_that_hold
from seqcheck.adequacy.trial import Answer, How, Notice, Trial
from seqcheck.check.group import explored_options, group_sequence
from seqcheck.check.slice import influence_in
from seqcheck.errors import SequenceFileError
from seqcheck.explore.bounds import BoundsStore
from seqcheck.explore.core import CoreStore
from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import Network
from seqcheck.language.expression import Expression, names_in
from seqcheck.language.sequence import Sequence
from seqcheck.reader.usage import controller_conditions, requirement_conditions


class Fate(StrEnum):
    """What becomes of a change."""

    NOTICED = "noticed"
    UNNOTICED = "unnoticed"
    UNDECIDED = "undecided"
    EQUIVALENT = "equivalent"
    INVALID = "invalid"


@dataclass(frozen=True, slots=True)
class Tried:
    """The fate of change `number`. `notice`: by which requirement, if it is noticed; `reason`: why it is invalid."""

    number: int
    fate: Fate
    notice: Notice | None = None
    reason: str = ""


def try_change(prepared: Prepared, number: int, change: Change) -> Tried:
    """The fate of one change. Raises KeyboardInterrupt if stopped."""
    reason = static_error(change)
    if reason:
        return Tried(number, Fate.INVALID, reason=reason)
    try:
        if _is_idle(prepared, change):
            return Tried(number, Fate.EQUIVALENT)
        answer = first_notice(prepared, change)
    except SequenceFileError as error:
        return Tried(number, Fate.INVALID, reason=str(error).splitlines()[0])
    if answer.notice is not None:
        return Tried(number, Fate.NOTICED, answer.notice)
    if _reaches_the_same(prepared, change):
        return Tried(number, Fate.EQUIVALENT)
    return Tried(number, Fate.UNDECIDED if answer.is_cut else Fate.UNNOTICED)


def static_error(change: Change) -> str:
    """Why the changed file would be refused; nothing if it would not."""
    if change.kind is ChangeKind.REMOVE_WATCHDOG:
        late = f"{change.subject.chart}.{change.subject.target}.late"
        conditions = (*controller_conditions(change.sequence), *requirement_conditions(change.sequence))
        if any(name.text == late for condition in conditions for name in names_in(condition)):
            return f"{late} is read, and its step has no watchdog"
    return ""


# -- does it change anything -----------------------------------------------------------------------------------


def _is_idle(prepared: Prepared, change: Change) -> bool:
    """Whether no read goes otherwise, so that nothing changes."""
    local = prepared.local(change)
    if local is None or isinstance(change.touched, Anywhere):
        return False
    if change.kind is ChangeKind.STRETCH_WATCHDOG:
        assert isinstance(change.touched, OnceLate)
        return not local.expires(_watchdog_cell(local.network, change.touched))
    network = _changed_network(change, local.part, local.network)
    return network is not None and not local.goes_otherwise(network, touches(network, change.touched))


def _watchdog_cell(network: Network, touched: OnceLate) -> int:
    return network.names.watchdogs[f"{touched.chart}.{touched.step}.late"]


def _changed_network(change: Change, part: Sequence, original: Network) -> Network | None:
    """The original network of a part with the change in its controller; None where its states would not mean the same."""
    if change.kind is ChangeKind.REMOVE_WATCHDOG:
        assert isinstance(change.touched, OnceLate)
        return sharing(without_watchdog(original, change.touched), original)
    network = build_core(restricted(change.sequence, part), original.options)
    return sharing(network, original) if has_same_layout(network, original) else None


def restricted(sequence: Sequence, part: Sequence) -> Sequence:
    """The changed `sequence` with nothing but what `part` of the original has."""
    gone = {flag.name for flag in sequence.flags} | {alarm.name for alarm in sequence.alarms}
    gone -= {flag.name for flag in part.flags} | {alarm.name for alarm in part.alarms}
    names = set(owner_names(part))
    return replace(
        sequence,
        devices=tuple(device for device in sequence.devices if device.name in names),
        circuits=tuple(circuit for circuit in sequence.circuits if circuit.name in names),
        charts=tuple(
            replace(
                chart,
                steps=tuple(
                    replace(
                        step,
                        actions=tuple(action for action in step.actions if action.variable not in gone),
                        watchdog=None if step.watchdog is None or step.watchdog.alarm in gone else step.watchdog,
                    )
                    for step in chart.steps
                ),
            )
            for chart in sequence.charts
            if chart.name in names
        ),
        alarms=tuple(alarm for alarm in sequence.alarms if alarm.name not in gone),
        flags=tuple(flag for flag in sequence.flags if flag.name not in gone),
    )


def _reaches_the_same(prepared: Prepared, change: Change) -> bool:
    """For a change of the machine: whether the very same states of controller and machine are reached."""
    before = prepared.local(change)
    if before is None or not isinstance(change.touched, Anywhere):
        return False  # a change of the controller has been judged by its reads
    part = restricted(change.sequence, before.part)
    if not has_same_layout(build_core(part, before.network.options), before.network):
        return False
    after = explore_around(part, with_failures=prepared.with_failures, most_classes=2 * before.classes)
    return after.is_complete and after.states == before.states


# -- who notices -----------------------------------------------------------------------------------------------


def first_notice(prepared: Prepared, change: Change) -> Answer:
    """The first that notices: figures, then runs without failures, batch by batch, then runs with one."""
    broken = _broken_figure(prepared, change)
    if broken is not None:
        return Answer(broken)
    trials = [
        (known, trial)
        for known in prepared.known
        if (trial := changed_trial(known, change, known.trial.heard)) is not None
    ]
    try:
        return _asked_in_turn(prepared, change, trials)
    finally:
        for known, trial in trials:
            if not isinstance(trial.core, ChangedCore):
                trial.core.forget()
            known.tidy()


def _asked_in_turn(prepared: Prepared, change: Change, trials: list[tuple[Known, Trial]]) -> Answer:
    near = _devices_near(prepared.sequence, change)
    is_cut, begun = False, []
    for _, trial in trials:
        answer = trial.first_notice(with_failures=False)
        if answer.notice is not None:
            return answer
        is_cut = is_cut or answer.is_cut
        begun.append(answer.begun)
    for (known, trial), put_to_test in zip(trials, begun, strict=True):
        if known.has_failures:
            answer = _with_failures(known, trial, change, put_to_test, near)
            if answer.notice is not None:
                return answer
            is_cut = is_cut or answer.is_cut
    return Answer(None, is_cut)


def _with_failures(
    known: Known, trial: Trial, change: Change, begun: frozenset[int], near: tuple[str, ...]
) -> Answer:
    """Under one failure: first whether anything may notice at all, which is quick to say where the machine is the same."""
    is_comparable = trial.heard == known.trial.heard and not known.batch.group.start_anywhere
    if isinstance(trial.core, ChangedCore) and is_comparable and not _diverges_at_once(change):
        suspects = trial.may_notice(known.reached, divergence(trial.network, change), begun)
        if suspects is None:
            return Answer(None)
        near = (*suspects, *near)
    return trial.first_notice(with_failures=True, first_failures=near)


def _diverges_at_once(change: Change) -> bool:
    """Whether the very first state is another one: its step has a longer watchdog."""
    if change.kind is not ChangeKind.STRETCH_WATCHDOG:
        return False
    return change.sequence.chart(change.subject.chart).initial.name == change.subject.target


def _broken_figure(prepared: Prepared, change: Change) -> Notice | None:
    """The first requirement that numbers of the machine decide, and that they no longer keep."""
    if not isinstance(change.touched, Anywhere):
        return None
    after = figures_that_hold(change.sequence)
    return next((Notice(name, How.VIOLATED) for name in prepared.figures if name not in after), None)


def changed_trial(known: Known, change: Change, heard: frozenset[int]) -> Trial | None:
    """The batch with the change and these monitors heard; None where it cannot influence the batch, or nobody is heard."""
    before = known.trial.hearing(heard)
    part = restricted(change.sequence, known.batch.part)
    if not before.heard or (part == known.batch.part and part.machine == known.batch.part.machine):
        return None
    if isinstance(change.touched, Anywhere) or not _knows_names(before.network, change):
        return _fresh(before, known, change)
    network = _changed_network(change, known.batch.part, before.network)
    if network is None:
        return _fresh(before, known, change)
    stretched = stretched_timer(network, before.network)
    is_touched = touches(network, change.touched)
    if stretched is not None:
        is_touched = _never
    return replace(before, network=network, core=ChangedCore(network, before.core, is_touched, stretched))


def _knows_names(network: Network, change: Change) -> bool:
    """Whether all that a changed condition speaks of is in the network; a term added by a hint may name something else."""
    term, names = change.subject.term, network.names
    known = {*names.signals, *names.outputs, *names.cells, *names.steps, *names.watchdogs}
    return not change.subject.chart or term is None or known.issuperset(_names(term))


def _never(_memory: tuple[int, ...]) -> bool:
    return False


def _fresh(before: Trial, known: Known, change: Change) -> Trial:
    """The batch with nothing shared."""
    group = known.batch.group
    monitors = monitors_in(change.sequence, known.batch)
    part = group_sequence(change.sequence, group, reductions=True)
    network = build_core(part, explored_options(group, monitors, reductions=True))
    return replace(before, network=network, monitors=monitors, core=CoreStore(network), store=BoundsStore())


def _devices_near(sequence: Sequence, change: Change) -> tuple[str, ...]:
    """The devices that a change speaks of: their failures are tried first."""
    term = change.subject.term
    named = _names(term) if term is not None else ()
    owners = influence_in(sequence).owners
    return (change.subject.device, *(owner for name in named for owner in owners.get(name, ())))


def _names(term: Expression) -> tuple[str, ...]:
    return tuple(name.text for name in names_in(term))
