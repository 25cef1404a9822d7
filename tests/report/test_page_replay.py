"""Runs as the page plays them: the nominal cycle of bundled sequences, strokes of devices, and data that may stand in a script."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from seqcheck.check.check import check_sequence
from seqcheck.check.options import CheckOptions
from seqcheck.check.outcome import Outcome
from seqcheck.diagrams.nominal_cycle import NominalCycle, nominal_cycle
from seqcheck.kernel.network import Network
from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence, read_sequence_text
from seqcheck.report.machine_scene import machine_scene
from seqcheck.report.page import anchor
from seqcheck.report.replay import Replay
from seqcheck.report.replay_curves import POINTS, ReplayCurve, replay_curves
from seqcheck.report.replay_runs import ReplayRuns, nominal_replay, replay_runs
from seqcheck.report.stroke import stroke_of
from seqcheck.simulate.sequence_run import network_of

SEQUENCES = Path(__file__).parents[2] / "sequences"

CLAMP = """\
sequence: Clamp and knife
revision: 1
scan: {period: 5..10 ms, write: 0 ms}
devices:
  knife:
    type: cylinder
    out: 180..260 ms
    back: 200..300 ms
    output: knife_fire
    switches: {out: knife_through, home: knife_home}
    hazard: cut
  hood: {type: guard, closed: hood_closed}
  request: {type: pushbutton, pressed: requested}
alarms:
  late: {text: Knife is late, clear: requested}
charts:
  cut:
    ready: {initial: true, next: {cutting: requested AND hood_closed AND knife_home}}
    cutting: {do: [knife_fire], within: 400 ms, alarm: late, next: {back: knife_through}}
    back: {within: 600 ms, alarm: late, next: {ready: knife_home}}
requirements:
  - {id: R1, never: knife.is_moving AND hood.is_open}
  - {id: R2, never: knife.is_moving AND hood.is_open, under: fault knife.jams}
"""


@cache
def clamp() -> tuple[Sequence, Outcome, ReplayRuns]:
    sequence = read_sequence_text(CLAMP, "clamp.yaml")
    outcome = check_sequence(sequence, CheckOptions())
    return sequence, outcome, replay_runs(outcome, nominal_replay(nominal_cycle(sequence)))


@cache
def flagship() -> NominalCycle:
    cycle = nominal_cycle(read_sequence(SEQUENCES / "wipes_line_butt_splice.yaml"))
    assert isinstance(cycle, NominalCycle)
    return cycle


def clamp_network() -> Network:
    return network_of(clamp()[0])


def nominal() -> Replay:
    replay = clamp()[2].nominal
    assert replay is not None
    return replay


def test_nominal_cycle_of_the_flagship_is_one_splice() -> None:
    path = flagship().path
    assert path[:5] == ("ready", "filling", "stopping", "clamping", "cutting")
    assert path[-1] == "ready"
    assert "standing" not in path


def test_nominal_cycle_begins_a_second_before_the_act_and_ends_where_it_began() -> None:
    replay = nominal()
    steps = [(time_us - replay.from_us, replay.charts[0].steps[value]) for time_us, value in replay.charts[0].course]
    assert [name for _, name in steps] == ["ready", "cutting", "back", "ready"]
    acts = [event.time_us - replay.from_us for event in replay.events if event.mark == "act"]
    assert acts[0] == 1_000_000
    assert replay.charts[0].course[-1][0] == replay.end_us


def test_without_a_hazard_there_is_no_cycle_and_it_is_said() -> None:
    sequence = read_sequence_text(CLAMP.replace("    hazard: cut\n", ""), "clamp.yaml")
    found = nominal_cycle(sequence)
    assert found == "No step drives anything hazardous, so there is no cycle to show."


def test_knife_goes_evenly_from_home_to_out_and_back() -> None:
    """Out takes 180 ms at its shortest; the way back 200 ms, from the read that sees the switch."""
    knife = next(part for part in nominal().parts if part.name == "knife")
    assert knife.stroke is not None
    corners = [value for _, value in knife.stroke]
    assert corners[:5] == [0.0, 0.0, 1.0, 1.0, 0.0]
    times = [time_us for time_us, _ in knife.stroke]
    assert times[2] - times[1] == 180_000
    assert times[4] - times[3] == 200_000


def test_what_stands_between_its_ends_is_drawn_half_way() -> None:
    network = clamp_network()
    knife = next(machine for machine in network.machines if machine.name == "knife")
    going = next(number for number, place in enumerate(knife.places) if place.label == "going_out" and not place.mode)
    jammed = next(number for number, place in enumerate(knife.places) if place.label == "going_out" and place.mode == "jammed")
    stroke = stroke_of(knife, ((0, knife.initial), (1_000, going), (5_000, jammed), (9_000, jammed)))
    assert stroke == ((0, 0.0), (1_000, 0.0), (5_000, 0.5))


def test_witness_is_played_on_the_whole_machine() -> None:
    """The check left `request` out of what it explored or not; the picture has every device."""
    told = clamp()[2].told
    assert [part.key for part in told] == ["run-R1", "run-R2"]
    for part in told:
        assert part.replay is not None, part.note
        assert {device.name for device in part.replay.parts} >= {"knife", "hood", "request"}
        hood = next(device for device in part.replay.parts if device.name == "hood")
        assert hood.words[hood.course[-1][1]] == "open"


def test_curves_of_the_flagship_show_its_accumulator() -> None:
    cycle = flagship()
    curves = {curve.name: curve for curve in replay_curves(cycle.simulated.run.motion, cycle.from_us, cycle.end_us)}
    content: ReplayCurve = curves["content"]
    assert content.times_us[0] == cycle.from_us and content.times_us[-1] == cycle.end_us
    assert len(content.times_us) < 2 * POINTS
    assert max(content.values) == pytest.approx(0.85 * 32.0, abs=0.1)  # filled: 85 % of 20 strands of 1.6 m
    assert content.values[0] == pytest.approx(0.35 * 32.0, abs=0.01)


@pytest.mark.parametrize("path", sorted(SEQUENCES.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_device_is_drawn_or_told_once(path: Path) -> None:
    sequence = read_sequence(path)
    scene = machine_scene(sequence)
    store = [scene.store.name] if scene.store else []
    guard = [scene.guard] if scene.guard else []
    shown = [*(part.name for part in scene.parts), *store, *guard, *scene.beside]
    assert sorted(shown) == sorted([*(device.name for device in sequence.devices), *(one.name for one in sequence.circuits)])


def test_parts_of_the_picture_stand_beside_one_another() -> None:
    scene = machine_scene(read_sequence(SEQUENCES / "wipes_line_butt_splice.yaml"))
    places = [part.x for part in scene.parts]
    assert places == sorted(places)
    assert scene.head is not None and scene.store is not None
    assert scene.head[1] < scene.store.left < scene.store.right < scene.width


def test_anchors_of_different_names_differ() -> None:
    names = ["run-R1", "run-R 1", "run-R_1", "run-R.1", "run-R<1", "run-R_20_1"]
    anchors = [anchor(name) for name in names]
    assert anchors[0] == "run-R1"
    assert len(set(anchors)) == len(names)
