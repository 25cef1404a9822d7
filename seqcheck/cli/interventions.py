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


def script_of(acts: Iterable[str], faults: Iterable[str], network: Network) -> tuple[Intervention, ...]:
    """The acts and failures, each known to the network. Raises UsageError with everything that is wrong, a line each."""
    wanted = [
        *((text, "--act", Does.ACT, known_acts(network)) for text in acts),
        *((text, "--fault", Does.FAIL, sorted(mode.name for mode in network.failures)) for text in faults),
    ]
    found, wrong = [], []
    for text, option, does, known in wanted:
        try:
            found.append(_intervention(text, option, does, known))
        except UsageError as error:
            wrong.append(str(error))
    if wrong:
        raise UsageError("\n".join(wrong))
    return tuple(found)


def known_acts(network: Network) -> list[str]:
    """Every act of every device, as `device.act`."""
    return sorted(
        {
            f"{machine.name}.{move.act}"
            for machine in network.machines
            for place in machine.places
            for move in place.free
        }
    )


def _intervention(text: str, option: str, does: Does, known: list[str]) -> Intervention:
    time_us, name = _split(text, option, known)
    if does is Does.FAIL:
        return Intervention(time_us=time_us, does=does, subject=name)
    device, _, act = name.rpartition(".")
    return Intervention(time_us=time_us, does=does, subject=device, action=act)


def _split(text: str, option: str, known: list[str]) -> tuple[int, str]:
    time, colon, name = text.partition(":")
    if not colon:
        raise UsageError(f"{option}: expected TIME:DEVICE.WORD such as '1s:request.presses', found {text!r}")
    if name not in known:
        nearest = nearest_name(name, known)
        hint = f"did you mean {nearest}?" if nearest else f"known are {', '.join(known) or 'none'}"
        raise UsageError(f"{option}: the sequence has no {name!r}; {hint}")
    return time_of(time, option), name
