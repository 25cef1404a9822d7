"""A coasting unwind, and a line that stops with it: the filled switch clears inside the range that the device gives it.

The band of the bundled wipes line is 0..50 ms, in a stop of 0.9..1.1 s from 3 m/s. A stop of T sinks the content by v t^2 / (2 T),
so without its brake, in 4.4 s, the unwind lets it fall as far in twice the time, 100 ms.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.simulate.chooser import Chooser, Scripted, Seeded, latest
from seqcheck.simulate.cycle_runs import Sampler, sampler_of
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.physical_data import physical_data
from seqcheck.simulate.run import Run
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.simulate import simulate

SEQUENCES = Path(__file__).resolve().parents[2] / "sequences"
WIPES = SEQUENCES / "wipes_line_butt_splice.yaml"
NONWOVEN = SEQUENCES / "nonwoven_rewind_cut_over.yaml"
CASES = {WIPES: ("unwind", "accumulator", "full"), NONWOVEN: ("rewind", "take_up", "emptied")}
UNTIL_US = 102_000_000


def act(time_us: int, subject: str, action: str) -> Intervention:
    return Intervention(time_us=time_us, does=Does.ACT, subject=subject, action=action)


def acts_of(sampler: Sampler) -> list[Intervention]:
    """The acts that lead into the accumulator's cycle, each when the machine has come to rest."""
    found, time_us = [], 200_000
    for device, action in (*sampler.ready.acts, sampler.ready.last):
        found.append(act(time_us, device, action))
        if action == "presses":
            found.append(act(time_us + 400_000, device, "releases"))
        time_us += 50_000_000 if device in ("fault_reset", "start") else 3_000_000
    return found


@cache
def machine(file: Path) -> tuple[Sequence, Network, list[Intervention]]:
    """A bundled sequence, its network and the acts that lead into its cycle."""
    sequence = read_sequence(file)
    return sequence, network_of(sequence), acts_of(sampler_of(sequence))


def run_of(sequence: Sequence, network: Network, times: Chooser, script: list[Intervention]) -> Run:
    return simulate(
        network, Scripted(times, tuple(script)), until_us=UNTIL_US, data=physical_data(sequence, network)
    )


def reached_us(run: Run, device: str, action: str) -> int:
    return next(
        item.time_us
        for item in run.schedule.happenings
        if (item.edge.event.subject, item.edge.event.action) == (device, action)
    )


def cleared_after_us(run: Run, begin_us: int, switch: str, network: Network) -> int:
    """How long after `begin_us` the switch went off."""
    bit = 1 << network.signal_names.index(switch)
    return next(
        item.time_us - begin_us
        for item in run.schedule.happenings
        if item.time_us >= begin_us and not item.edge.target.signals & bit
    )


@pytest.mark.parametrize("file", [WIPES, NONWOVEN], ids=["unwind", "rewind"])
@pytest.mark.parametrize("times", [latest(), Seeded(seed=1)], ids=["latest", "random"])
def test_physics_and_sequence_agree_while_the_unwind_coasts(file: Path, times: Chooser) -> None:
    """While the line runs on, and with an emergency stop at once and a little later."""
    sequence, network, acts = machine(file)
    drive, device, level = CASES[file]
    begin_us = reached_us(run_of(sequence, network, times, acts), device, level)
    fails = Intervention(time_us=begin_us - 1_000_000, does=Does.FAIL, subject=f"{drive}.coasts")
    for stop_us in (None, 0, 300_000):
        more = [] if stop_us is None else [act(begin_us + stop_us, "stop", "presses")]
        run = run_of(sequence, network, times, [*acts, fails, *more])
        assert run.missed == ()
        assert run.disagreements == ()


def test_the_switch_stays_on_twice_as_long_as_its_band() -> None:
    """With the latest of everything: 100 ms after the unwind began to coast in 4.4 s; braked in 1.1 s it is 50 ms."""
    sequence, network, acts = machine(WIPES)
    begin_us = reached_us(run_of(sequence, network, latest(), acts), "accumulator", "full")
    coasts = Intervention(time_us=begin_us - 1_000_000, does=Does.FAIL, subject="unwind.coasts")
    for more, expected_us in (([], 50_000), ([coasts], 100_000)):
        run = run_of(sequence, network, latest(), [*acts, *more])
        left_us = next(
            item.time_us
            for item in run.schedule.happenings
            if item.time_us >= begin_us and item.edge.event.action == "splice enters stopping"
        )
        assert cleared_after_us(run, left_us, "accumulator_full", network) == pytest.approx(expected_us, abs=2)


def test_a_longer_coast_makes_the_switch_clear_sooner_in_a_braked_stop() -> None:
    """A coast of 17.6 s, 16 times the stop: the fall in 100 ms is that of a braked stop in 25 ms."""
    text = WIPES.read_text(encoding="utf-8")
    changed = text.replace("    at_speed: unwind_at_speed\n", "    at_speed: unwind_at_speed\n    coast: 17600 ms\n", 1)
    assert changed != text
    plain, slow = (read_sequence_text(part, "wipes.yaml") for part in (text, changed))
    drops = []
    for sequence in (plain, slow):
        data = physical_data(sequence, network_of(sequence))
        assert data is not None
        assert data.accumulator is not None
        drops.append(data.accumulator.highest_drop_m)
    assert drops[0] == pytest.approx(3 * 0.05**2 / (2 * 1.1))
    assert drops[1] == pytest.approx(3 * 0.025**2 / (2 * 1.1))
