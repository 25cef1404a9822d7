"""The runs that the page plays: the nominal cycle, and every witness and trap."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Outcome, Witness
from seqcheck.diagrams.nominal_cycle import NominalCycle
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.report.replay import Replay, ReplayLabel, replay_of
from seqcheck.simulate.led_motion import led_motion
from seqcheck.simulate.run import RunStop
from seqcheck.simulate.scenario_run import run_scenario
from seqcheck.simulate.sequence_run import network_of

NOMINAL = "nominal"
CANNOT_BE_PLAYED = "This run cannot be played on the whole machine; its table below says what happens when."


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldRun:
    """A run that the page tells in a table and, if `replay` is not None, plays. `requirement` "": a trap."""

    key: str
    title: str
    requirement: str
    witness: Witness
    replay: Replay | None
    note: str


@dataclass(frozen=True, slots=True)
class ReplayRuns:
    """All runs of a review. `nominal` None: no way into a cycle was found; `nominal_note` says why."""

    nominal: Replay | None
    nominal_note: str
    told: tuple[ToldRun, ...]

    @property
    def replays(self) -> tuple[Replay, ...]:
        """All that can be played, the nominal cycle first."""
        own = () if self.nominal is None else (self.nominal,)
        return (*own, *(told.replay for told in self.told if told.replay is not None))


def replay_runs(outcome: Outcome, nominal: Replay | str) -> ReplayRuns:
    """The nominal cycle (or why there is none), then the witnesses in the order of the file, then the traps."""
    sequence = outcome.sequence
    network = network_of(sequence)
    witnesses = [
        (f"run-{part.requirement.id}", f"{part.requirement.id} {part.verdict.value}: {part.requirement.text}", part)
        for part in outcome.requirements
        if part.witness is not None
    ]
    told = [
        _told(sequence, network, (key, title, part.requirement.id), part.witness)
        for key, title, part in witnesses
        if part.witness is not None
    ]
    for number, trap in enumerate(outcome.traps, start=1):
        title = f"Trap {number}: {', '.join(trap.steps)}"
        told.append(_told(sequence, network, (f"run-trap-{number}", title, ""), trap.witness))
    if isinstance(nominal, str):
        return ReplayRuns(None, nominal, tuple(told))
    return ReplayRuns(nominal, "", tuple(told))


def nominal_replay(cycle: NominalCycle | str) -> Replay | str:
    """The nominal cycle to be played, or why there is none."""
    if isinstance(cycle, str):
        return cycle
    label = ReplayLabel(
        key=NOMINAL,
        title=f"Nominal cycle through {cycle.chart.name}.{cycle.goal}",
        note="Nothing fails; every motion, fill and scan takes its shortest time.",
        from_us=cycle.from_us,
    )
    simulated = cycle.simulated
    return replay_of(label, simulated.network, simulated.run.schedule, cycle.end_us, simulated.run.motion)


def _told(sequence: Sequence, network: Network, names: tuple[str, str, str], witness: Witness) -> ToldRun:
    key, title, requirement = names
    replay, note = _played(sequence, network, (key, title), witness)
    return ToldRun(key=key, title=title, requirement=requirement, witness=witness, replay=replay, note=note)


def _played(
    sequence: Sequence, network: Network, names: tuple[str, str], witness: Witness
) -> tuple[Replay | None, str]:
    """The witness run on the whole machine: it was found on the part of it that matters to its requirement."""
    if witness.scenario is None:
        return None, f"{CANNOT_BE_PLAYED} {witness.reason}".strip()
    run = run_scenario(network, witness.scenario)
    if run.stop is RunStop.REFUSED:
        return None, f"{CANNOT_BE_PLAYED} ({run.note})"
    motion = led_motion(sequence, network, run.schedule, run.end_us)
    note = "Run of the check, replayed with real periodic scans."
    if motion is not None:
        note += " Speeds and stored web are drawn to fit its times and are no part of the proof."
    label = ReplayLabel(key=names[0], title=names[1], note=note)
    return replay_of(label, network, run.schedule, run.end_us, None if motion is None else motion.record), ""
