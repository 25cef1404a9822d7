"""The run that skips idle reads and looks the kernel up does exactly what the run that takes every read does."""

from pathlib import Path
from random import Random

import pytest
from simulate.trial_files import FOLDER, trial

from seqcheck.kernel.event import Event
from seqcheck.kernel.network import Network
from seqcheck.kernel.start import Start, normal_start
from seqcheck.kernel.state import State
from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.simulate.chooser import Scripted
from seqcheck.simulate.cycle import act_script
from seqcheck.simulate.cycle_runs import Sampler, run_cycle, sampler_of
from seqcheck.simulate.interventions import Does, Intervention
from seqcheck.simulate.quick_run import QuickRun
from seqcheck.simulate.run import Run
from seqcheck.simulate.sampled import Sampled
from seqcheck.simulate.sequence_run import network_of
from seqcheck.simulate.simulate import simulate
from seqcheck.simulate.state_graph import Link, StateGraph

FLAGSHIP = Path(__file__).resolve().parents[2] / "sequences" / "wipes_line_butt_splice.yaml"
UNTIL_US = 3_000_000


@pytest.fixture(scope="module")
def sampler() -> Sampler:
    return sampler_of(read_sequence(FLAGSHIP))


@pytest.mark.parametrize("number", range(4))
def test_a_splice_is_the_same_with_every_read_taken(sampler: Sampler, number: int) -> None:
    """Events, times, states and motion to the last bit, over the whole splice with its physics."""
    quick = run_cycle(sampler, 7, number)
    times = Sampled(sampler.network, 7, number)
    assert sampler.ready.physics is not None and sampler.data is not None
    physics = sampler.ready.physics.restarted(times.between)
    times.part()  # the diameter
    script = act_script(sampler.ready.last, times.between(1, 100_000))
    slow = simulate(
        sampler.network,
        Scripted(times, script),
        until_us=quick.run.now_us,
        start=Start(sampler.ready.node.state, ()),
        data=sampler.data,
        physics=physics,
    )
    assert happened(slow) == links(quick.run.links)
    assert slow.motion is not None
    assert list(slow.motion.segments) == quick.segments
    assert slow.disagreements == tuple(quick.run.disagreements) == ()


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("write", ["0 ms", "0..4 ms", "2..4 ms"])
def test_a_trial_splicer_is_the_same_with_every_read_taken(seed: int, write: str) -> None:
    """Also where outputs are written after the read, so that reads wait; with acts and failures at any time."""
    text = (FOLDER / "splicer.yaml").read_text(encoding="utf-8")
    assert "write: 0..4 ms" in text
    network = network_of(read_sequence_text(text.replace("write: 0..4 ms", f"write: {write}"), "splicer.yaml"))
    script = random_script(network, seed)
    slow = simulate(network, Scripted(Sampled(network, seed, 0), script), until_us=UNTIL_US)
    quick = quick_run(network, seed, script)
    assert happened(slow) == [item for item in links(quick.links) if item[0] <= UNTIL_US]
    assert list(slow.missed) == quick.missed[: len(slow.missed)]
    assert len(slow.schedule.happenings) > 5


def test_times_drawn_differ_from_run_to_run() -> None:
    """Else the comparisons above would compare one run with itself."""
    network = network_of(trial("splicer"))
    first, second = (links(quick_run(network, seed, random_script(network, 1)).links) for seed in (1, 2))
    assert first != second


def quick_run(network: Network, seed: int, script: tuple[Intervention, ...]) -> QuickRun:
    times = Sampled(network, seed, 0)
    graph = StateGraph(network)
    run = QuickRun(graph, graph.node(normal_start(network)[0].state), times.due_us, times.scans(), None, script)
    while run.now_us <= UNTIL_US and run.step() is not None:
        pass
    return run


def random_script(network: Network, seed: int) -> tuple[Intervention, ...]:
    """Acts and failures at random times, many of them not possible then."""
    random = Random(seed)
    acts = sorted({(m.name, move.act) for m in network.machines for place in m.places for move in place.free})
    script = [
        Intervention(time_us=random.randrange(UNTIL_US), does=Does.ACT, subject=device, action=act)
        for device, act in random.choices(acts, k=30)
    ]
    fault = random.choice(network.failures).name
    return (*script, Intervention(time_us=random.randrange(UNTIL_US), does=Does.FAIL, subject=fault))


def happened(run: Run) -> list[tuple[int, Event, State]]:
    return [(item.time_us, item.edge.event, item.edge.target) for item in run.schedule.happenings]


def links(taken: list[tuple[int, Link]]) -> list[tuple[int, Event, State]]:
    return [(time_us, link.edge.event, link.edge.target) for time_us, link in taken]
