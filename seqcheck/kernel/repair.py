"""Repair: a failure in a working copy is cleared; a motion that it had stopped goes on with an unknown rest of its time."""

from __future__ import annotations

from seqcheck.kernel.network import Network
from seqcheck.kernel.settle import Work
from seqcheck.plant.procedure import REPAIR


def repair(network: Network, work: Work, failure: int) -> bool:
    """Repair `failure` in a working copy; False if it is not there to repair."""
    mode = network.failures[failure]
    if mode.contact:
        stuck = work.stuck_on if mode.stuck_on else work.stuck_off
        if not stuck & mode.contact:
            return False
        work.stuck_on &= ~mode.contact
        work.stuck_off &= ~mode.contact
        work.refresh_signals()
        return True
    machine = network.machines[mode.machine]
    position = work.plant[machine.index]
    leads_here = any(
        part.failure == failure and machine.places[part.target].mode == machine.places[position].mode
        for place in machine.places
        for part in place.failures
    )
    target = machine.places[position].repair
    if not leads_here or target is None:
        return False
    work.place(machine, target)
    return True


def repair_for_procedure(network: Network, work: Work) -> None:
    """Make every repair that the procedure states; without any stated, repair everything."""
    procedure = network.options.procedure
    assert procedure is not None, "only a network with a procedure has an operator"
    devices = {act.device for act in procedure.acts if act.act == REPAIR}
    for mode in network.failures:
        if not devices or mode.device in devices:
            repair(network, work, mode.index)
