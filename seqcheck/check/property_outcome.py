"""What property tests came to, as data: drawn runs beside the proofs, and where the two contradict one another."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.outcome import Witness
from seqcheck.simulate.scenario import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Refutation:
    """A drawn run that breaks a requirement, shrunk: in words why, the run, and the scenario that runs it again."""

    why: str
    witness: Witness
    scenario: Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """One requirement in drawn runs: in how many it was watched, in how many put to the test, and what was measured at worst.

    `worst_us` None: nothing was measured. `refutation` None: no drawn run broke it.
    """

    requirement: str
    watched: int
    tested: int
    worst_us: int | None = None
    refutation: Refutation | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """Proof and drawn run contradict one another: a defect of seqcheck. `scenario` is the run; `proof` what was proved."""

    requirement: str
    text: str
    proof: str
    scenario: Scenario | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyTests:
    """Property tests of one sequence. `runs` were drawn from `seed`; shrinking took `shrinking` more."""

    examples: int
    seed: int
    runs: int
    shrinking: int
    tested: tuple[Tested, ...]
    disagreements: tuple[Disagreement, ...] = ()

    def of(self, requirement: str) -> Tested | None:
        """What was seen of one requirement."""
        return next((part for part in self.tested if part.requirement == requirement), None)
