"""Devices that chase one another in one instant would stop time."""

from __future__ import annotations

import pytest
from kernel.stepping import ByHand, network_of

from seqcheck.kernel.settle import InstantLoopError

CHASE = """\
devices:
  b: {type: pushbutton, pressed: p}
  x:
    type: free
    states: {lo: {initial: true, next: {hi: NOT y.is_hi AND p}}, hi: {facts: is_hi, next: {lo: y.is_hi}}}
  y:
    type: free
    states: {lo: {initial: true, next: {hi: x.is_hi}}, hi: {facts: is_hi, next: {lo: NOT x.is_hi}}}
charts: {c: {a: {initial: true}}}
"""


def test_driven_moves_that_chase_one_another_raise_an_error_that_names_a_device() -> None:
    run = ByHand(network_of(CHASE))
    with pytest.raises(InstantLoopError) as caught:
        run.choices()
    assert caught.value.devices[0] in ("x", "y")


def test_a_chain_of_driven_moves_that_ends_is_one_instant() -> None:
    calm = CHASE.replace("next: {lo: y.is_hi}", "next: {}")
    run = ByHand(network_of(calm)).fire("read", "b presses")
    assert (run.position("x"), run.position("y"), run.pending()) == ("hi", "hi", {})
