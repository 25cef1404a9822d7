"""An outcome made by hand, with every verdict and every kind of note, so that what is printed can be compared."""

from dataclasses import replace
from pathlib import Path

from seqcheck.check.outcome import Measure, Outcome, RequirementOutcome, Trap, Witness, WitnessLine
from seqcheck.errors import Place
from seqcheck.language.sequence import Given, Requirement, Sequence
from seqcheck.reader.findings import Finding
from seqcheck.reader.read import read_sequence_text
from seqcheck.requirements.verdict import Verdict

CLAMP_FILE = Path(__file__).with_name("clamp.yaml")

CLAMP: Sequence = read_sequence_text(CLAMP_FILE.read_text(encoding="utf-8"), "clamp.yaml")

CONFIRMED = Witness(
    lines=(
        WitnessLine(
            time_us=4_000,
            earliest_us=4_000,
            latest_us=4_000,
            what="request presses",
            steps=("splice.ready", "watch.idle"),
            outputs=(),
            is_act=True,
        ),
        WitnessLine(
            time_us=1_250_500,
            earliest_us=9_000,
            latest_us=61_000_000,
            what="controller reads: splice enters clamping",
            steps=("splice.clamping", "watch.idle"),
            outputs=("clamp_close on",),
        ),
        WitnessLine(
            time_us=2_000_000,
            earliest_us=2_000_000,
            latest_us=None,
            what="clamp jams",
            steps=("splice.clamping", "watch.idle"),
            outputs=("clamp_close off",),
            is_failure=True,
        ),
    ),
    confirmed=True,
    reason="",
    schedule=None,
    faults=1,
    acts=1,
    end_us=2_000_000,
)

CLAIMED = Witness(
    lines=CONFIRMED.lines[:1],
    confirmed=False,
    reason="no placing of periodic scans attains it",
    schedule=None,
    faults=0,
    acts=1,
    end_us=4_000,
)


LONG_GIVEN = Given(allowed=("request", "acknowledge", "fault_reset", "open_request"))


def requirement(number: int) -> Requirement:
    """The requirement R1, R2, ... of the clamp."""
    return CLAMP.requirements[number - 1]


def measure(worst: float, limit: float | None = None, best: float | None = None, at_least: float | None = None) -> Measure:
    """A duration in microseconds."""
    return Measure(quantity="duration", unit="us", worst=worst, limit=limit, best=best, at_least=at_least)


HOLDS = RequirementOutcome(
    requirement=requirement(1),
    verdict=Verdict.HOLDS,
    reason="",
    judged_on="signals",
    hypothesis="any one fault",
    measures=(measure(14_000, 40_000, 0), measure(39_999.6, 40_000, 0)),
    untested=("hood_closed",),
    classes=12,
    states=7,
    transitions=30,
    layers=2,
)

VIOLATED = RequirementOutcome(
    requirement=requirement(2),
    verdict=Verdict.VIOLATED,
    reason="this holds: clamp.is_moving AND hood.is_open",
    judged_on="machine",
    hypothesis="any one fault",
    witness=CONFIRMED,
)

BY_BOUND = RequirementOutcome(
    requirement=requirement(3),
    verdict=Verdict.UNDECIDED,
    reason="a violation was found but not confirmed: no placing of periodic scans attains it",
    judged_on="machine",
    hypothesis="no fault",
    measures=(Measure(quantity="draw from filled", unit="m", worst=12.34567, limit=12.0, is_exact=False),),
    witness=CLAIMED,
    untested=("never shown, since it was not explored to its end",),
)

NEVER_ENDS = RequirementOutcome(
    requirement=requirement(4),
    verdict=Verdict.VIOLATED,
    reason="its time runs out",
    judged_on="signals",
    hypothesis="fault clamp.jams",
    measures=(measure(498_000, 1_000_000, 220_000),),
    witness=CONFIRMED,
)

VACUOUS = RequirementOutcome(
    requirement=replace(requirement(6), given=LONG_GIVEN),
    verdict=Verdict.VACUOUS,
    reason="what it speaks of never begins in any run that its hypothesis and `given` allow",
    judged_on="signals",
    hypothesis="no fault",
    latent=("clamp.jams", "hood.closed_signal_stuck_on"),
)

OUTCOME = Outcome(
    sequence=CLAMP,
    findings=(Finding(Place("clamp.yaml", 14, 5), "step splice.opening waits without 'within'", "no-watchdog"),),
    requirements=(HOLDS, VIOLATED, BY_BOUND, NEVER_ENDS, VACUOUS),
    traps=(Trap(steps=("splice.clamping", "watch.idle"), witness=CONFIRMED),),
    time_loops=("a", "b"),
    classes=2133,
    transitions=5725,
    failure_modes=10,
    stopped="the limit on seconds was reached",
)
