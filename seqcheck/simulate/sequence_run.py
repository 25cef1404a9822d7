"""One run of a sequence as its file stands: the plainest way to the simulator."""

from __future__ import annotations

from dataclasses import dataclass

from seqcheck.kernel.build import build_core
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.language.sequence import Sequence
from seqcheck.simulate.chooser import Chooser, earliest
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.run import Run
from seqcheck.simulate.simulate import MOST_EVENTS, simulate


@dataclass(frozen=True, slots=True)
class SequenceRun:
    """A run, and the network that its numbers belong to."""

    network: Network
    run: Run


def network_of(sequence: Sequence) -> Network:
    """The network that the simulator runs: no reduction that only an exploration needs."""
    return build_core(sequence, NetworkOptions(at_read=False, choose=False))


def simulate_sequence(
    sequence: Sequence,
    chooser: Chooser | None = None,
    *,
    until_us: int,
    most_events: int = MOST_EVENTS,
    diameters_m: tuple[float, ...] = (),
) -> SequenceRun:
    """One run from the normal start to `until_us`; `chooser` None: everything as early as it may.

    Where the file gives the numbers of the machine, the run has physics; `diameters_m` of its rolls at the start (default: new).

    Every read is compared with independent charts (simulate/chart_machine.py).

    Raises SequenceFileError if a device lacks data that its type derives from the machine's numbers.
    """
    network = network_of(sequence)
    run = simulate(
        network,
        chooser or earliest(),
        until_us=until_us,
        most_events=most_events,
        cross_check=sequence,
        data=physical_data(sequence, network),
        diameters_m=diameters_m,
    )
    return SequenceRun(network, run)
