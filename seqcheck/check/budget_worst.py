"""The worst draw from each level, with the schedule that attains it and where its web goes."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.check.attained import Attained, Claim, attain
from seqcheck.check.budget_phase import Phase, phases_of
from seqcheck.check.budget_proof import Proof, proof_of
from seqcheck.check.draw import draw_text, level_budget_us, level_names, metres_of, shown_draws
from seqcheck.check.group import groups_of, monitors_of, replay_network
from seqcheck.check.options import CheckOptions
from seqcheck.check.work import Wanted, Worker
from seqcheck.explore.limits import StopReason
from seqcheck.explore.summary import Found
from seqcheck.kernel.draw_part import DrawPart
from seqcheck.kernel.observer import DrawMonitor
from seqcheck.language.sequence import Sequence

ATTAINED_WITHIN_M = 1e-4
"""Metres between a proven draw and that of its replay: `TOLERANCE_US` of attained.py at any line speed there is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstDraw:
    """The greatest draw of a kind. `attained_m`: what the replay of its schedule draws, None where no replay was found.

    `is_exact`: the replay attains the proven value; else it is by bound. `is_leading`: the greatest first draw from its level;
    only those have phases and a run to show.
    """

    part: DrawPart
    quantity: str
    drawn_m: float
    budget_m: float
    attained_m: float | None
    is_exact: bool
    is_leading: bool
    run: Attained | None
    phases: tuple[Phase, ...]

    @property
    def is_attained(self) -> bool:
        """Whether the replay draws as much as was proven."""
        return self.attained_m is not None and self.attained_m >= self.drawn_m - ATTAINED_WITHIN_M

    @property
    def margin_m(self) -> float:
        """What its level holds above it."""
        return self.budget_m - self.drawn_m


@dataclass(frozen=True, slots=True)
class Examined:
    """A proof of the file as it is, with its worst draws."""

    proof: Proof
    draws: tuple[WorstDraw, ...]


def examine(sequence: Sequence, requirement: str, options: CheckOptions) -> Examined:
    """Prove a draw requirement and attain its worst draws.

    Raises KeyboardInterrupt where the search was interrupted, and SequenceFileError where the file lacks data.
    """
    wanted = tuple(part for part in sequence.requirements if part.id == requirement)
    [group] = groups_of(sequence, wanted, options.faults)
    [monitor] = monitors_of(wanted[0], sequence)
    assert isinstance(monitor, DrawMonitor), "only draw requirements have a budget"
    worker = Worker(sequence, options)
    found = worker.whole(group)
    if found.stop is StopReason.INTERRUPTED:
        raise KeyboardInterrupt
    networks = worker.network(group), replay_network(sequence, group, options.reductions)
    shown = shown_draws(found.summaries[0].draws)
    leading = {_leading(shown, level) for level in level_names(monitor)}
    draws = []
    for part, place in shown:
        claim = Claim(
            networks=networks,
            path=worker.path(group, Wanted(place.chain, 0, "drawn", part)),
            number=0,
            kind="drawn",
            value_us=place.value_us or 0,
        )
        draws.append(_worst_draw(sequence, monitor, part, claim, is_leading=part in leading))
    return Examined(proof_of(sequence, monitor, found), tuple(draws))


def _leading(shown: tuple[tuple[DrawPart, Found], ...], level: int) -> DrawPart | None:
    first = [(place.value_us or 0, part) for part, place in shown if part.level == level and part.is_first]
    return max(first)[1] if first else None


def _worst_draw(
    sequence: Sequence, monitor: DrawMonitor, part: DrawPart, claim: Claim, *, is_leading: bool
) -> WorstDraw:
    run = attain(claim) if is_leading or (part.is_whole and part.is_first) else None
    phases = phases_of(sequence, monitor.unwind, run.moments_us, run.witness) if run and is_leading else ()
    return WorstDraw(
        part=part,
        quantity=draw_text(part, takes_up=monitor.takes_up),
        drawn_m=metres_of(sequence, claim.value_us),
        budget_m=metres_of(sequence, level_budget_us(monitor, part.level)),
        attained_m=None if run is None else metres_of(sequence, run.value_us),
        is_exact=run is not None and run.is_exact and part.is_whole and part.is_first,
        is_leading=is_leading,
        run=run if is_leading else None,
        phases=phases,
    )
