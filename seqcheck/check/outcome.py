"""What a check came to, as data; text, JSON and reports are thin writers of it."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.kernel.schedule import Schedule
from seqcheck.language.sequence import Requirement, Sequence
from seqcheck.reader.findings import Finding
from seqcheck.requirements.verdict import Verdict
from seqcheck.simulate.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class WitnessLine:
    """One line of a witness: when (and in which window), what happened, active steps after it, outputs that changed.

    `latest_us` None: any later time would do. `is_failure` and `is_act` mark what a reader looks for first.
    """

    time_us: int
    earliest_us: int
    latest_us: int | None
    what: str
    steps: tuple[str, ...]
    outputs: tuple[str, ...]
    is_failure: bool = False
    is_act: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Witness:
    """A run, with times. `confirmed` says that the concrete simulator replayed it; else `reason` says why not.

    `schedule` is the run as the simulator replayed it (or as the explorer claims it, where it could not).
    """

    lines: tuple[WitnessLine, ...]
    confirmed: bool
    reason: str
    schedule: Schedule | None
    faults: int
    acts: int
    end_us: int
    scenario: Scenario | None = None
    """What runs it again; None where it was not confirmed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A worst (or best) value against its limit. `quantity`: what was measured, for people.

    Durations in microseconds. Web is in metres (`unit` "m"), where `worst` and `limit` are of stored web. `is_exact` False:
    the value is a bound that the model widened ('by bound').
    """

    quantity: str
    unit: str
    worst: float
    limit: float | None
    best: float | None = None
    is_exact: bool = True
    at_least: float | None = None
    is_exceeded: bool = False
    """In some run it had not ended when the limit passed; `worst` is of the runs in which it ended."""
    is_least: bool = False
    """The worst is the least value, which must not fall below the limit."""

    @property
    def margin(self) -> float | None:
        """How much is left to the limit."""
        if self.limit is None:
            return None
        return self.worst - self.limit if self.is_least else self.limit - self.worst


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementOutcome:
    """The verdict on one requirement, and all that stands behind it.

    `judged_on`: "signals" or "machine". `hypothesis` is the one checked (the requirement's own unless overridden).
    `untested`: permissives never seen false while the output was off. `latent`: failures that never made a difference.
    """

    requirement: Requirement
    verdict: Verdict
    reason: str
    judged_on: str
    hypothesis: str
    measures: tuple[Measure, ...] = ()
    witness: Witness | None = None
    untested: tuple[str, ...] = ()
    latent: tuple[str, ...] = ()
    classes: int = 0
    states: int = 0
    transitions: int = 0
    layers: int = 0
    symmetric_to: str | None = None
    """The requirement on an equal copy whose proof serves for this one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trap:
    """A state from which no chart ever changes step without a new failure, and a shortest way into it."""

    steps: tuple[str, ...]
    witness: Witness


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The outcome of checking one sequence."""

    sequence: Sequence
    findings: tuple[Finding, ...]
    requirements: tuple[RequirementOutcome, ...]
    traps: tuple[Trap, ...] = ()
    time_loops: tuple[str, ...] = ()
    classes: int = 0
    transitions: int = 0
    failure_modes: int = 0
    stopped: str = ""

    def exit_code(self, strict: bool = False) -> int:
        """0 all hold, 1 violated or vacuous (or, if `strict`, any finding), 3 undecided."""
        verdicts = {outcome.verdict for outcome in self.requirements}
        if verdicts & {Verdict.VIOLATED, Verdict.VACUOUS} or (strict and (self.findings or self.traps)):
            return 1
        return 3 if Verdict.UNDECIDED in verdicts or self.stopped else 0
