"""What a recording does not tell, in sentences."""

from __future__ import annotations

from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.plc.machine_side import MachineSide
from seqcheck.plc.moment import Recordable
from seqcheck.quantities.time import format_time


def not_judged(
    sequence: Sequence, network: Network, shows: Recordable, machine: MachineSide, uncertain_us: int | None
) -> tuple[str, ...]:
    """A sentence for everything that could not be judged, the most important first."""
    return tuple(_sentences(sequence, network, shows, machine, uncertain_us))


def _sentences(
    sequence: Sequence, network: Network, shows: Recordable, machine: MachineSide, uncertain_us: int | None
) -> list[str]:
    found = []
    if uncertain_us is not None:
        found.append(
            f"at {format_time(max(0, uncertain_us))} the recording left too many possible states; "
            "what the controller did is not judged until they are few again"
        )
    inputs = [name for bit, name in enumerate(network.signal_names) if not shows.inputs >> bit & 1]
    if inputs:
        found.append(f"inputs not recorded, held at off for the charts: {', '.join(inputs)}")
    outputs = [name for bit, name in enumerate(network.output_names) if not shows.outputs >> bit & 1]
    if outputs:
        found.append(f"outputs not recorded, so not judged, only followed: {', '.join(outputs)}")
    charts = [chart.name for chart in network.controller.charts if chart.number not in shows.cells]
    if charts:
        found.append(f"steps not recorded, so only followed from inputs: {', '.join(charts)}")
    alarms = [alarm.name for alarm in sequence.alarms if network.names.cells[alarm.name] not in shows.cells]
    if alarms:
        found.append(f"alarms not recorded, so told as the charts would raise them: {', '.join(alarms)}")
    blind = [part.machine.name for part in machine.followers if not part.mask]
    if blind:
        found.append(f"devices that the recording shows nothing of: {', '.join(blind)}")
    late = network.signals_in(machine.delayed & shows.inputs)
    if late:
        found.append(f"times of devices are not measured by signals with a delay: {', '.join(late)}")
    return found
