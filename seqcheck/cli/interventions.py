"""Acts and failures as typed on the command line: `1s:request.presses`, `2.5s:knife.jams`."""

from __future__ import annotations

from collections.abc import Iterable

from seqcheck.errors import UsageError, nearest_name
from seqcheck.kernel.network import Network
from seqcheck.quantities.time import parse_time
from seqcheck.simulate.interventions import Does, Intervention


def time_of(text: str, option: str) -> int:
    """The microseconds of a time. Raises UsageError if it is none."""
    try:
        return parse_time(text)
    except ValueError as error:
        raise UsageError(f"{option}: {error}") from None


def acts_of(texts: Iterable[str], network: Network) -> tuple[Intervention, ...]:
    """The acts, each known to the network. Raises UsageError for any that is not."""
    known = sorted(
        {
            f"{machine.name}.{move.act}"
            for machine in network.machines
            for place in machine.places
            for move in place.free
        }
    )
    found = []
    for text in texts:
        time_us, name = _split(text, "--act", known)
        device, _, act = name.rpartition(".")
        found.append(Intervention(time_us=time_us, does=Does.ACT, subject=device, action=act))
    return tuple(found)


def faults_of(texts: Iterable[str], network: Network) -> tuple[Intervention, ...]:
    """The failures, each known to the network. Raises UsageError for any that is not."""
    known = sorted(mode.name for mode in network.failures)
    found = []
    for text in texts:
        time_us, name = _split(text, "--fault", known)
        found.append(Intervention(time_us=time_us, does=Does.FAIL, subject=name))
    return tuple(found)


def _split(text: str, option: str, known: list[str]) -> tuple[int, str]:
    time, colon, name = text.partition(":")
    if not colon:
        raise UsageError(f"{option}: expected TIME:DEVICE.WORD such as '1s:request.presses', found {text!r}")
    if name not in known:
        nearest = nearest_name(name, known)
        hint = f"did you mean {nearest}?" if nearest else f"known are {', '.join(known) or 'none'}"
        raise UsageError(f"{option}: the sequence has no {name!r}; {hint}")
    return time_of(time, option), name
