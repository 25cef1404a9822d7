"""When the events of a path can happen, worked by hand."""

from __future__ import annotations

import itertools

from seqcheck.explore.layers import LayeredSearch, Path
from seqcheck.explore.witness import Constraint, schedule_of
from seqcheck.kernel.build import build_network
from seqcheck.kernel.event import Edge
from seqcheck.kernel.fire import successors
from seqcheck.kernel.network import Network, NetworkOptions
from seqcheck.kernel.start import normal_start
from seqcheck.language.sequence import Hypothesis
from seqcheck.reader.read import read_sequence_text

PLAIN = NetworkOptions(late=False, at_read=False, choose=False)
RELAY = """\
sequence: Relay
scan: {period: PERIOD, write: 0 ms}
devices:
  x: {type: free, states: {x0: {initial: true, next: {x1: {after: 33..40 ms}}}, x1: {signals: s}}}
charts: {c: {a: {initial: true, next: {d: s}}, d: {}}}
"""


def _network(period: str) -> Network:
    return build_network(read_sequence_text(RELAY.replace("PERIOD", period), "relay.yaml"), (), PLAIN)


def _path(network: Network, *subjects: str) -> Path:
    """The path along events of these subjects."""
    (start,) = normal_start(network)
    state, edges = start.state, list[Edge]()
    for subject in subjects:
        (edge,) = (part for part in successors(network, state) if part.event.subject == subject)
        edges.append(edge)
        state = edge.target
    return Path(start.state, tuple(edges))


def test_windows_follow_from_the_ranges_along_the_path() -> None:
    """First read at 4..10 ms; x moves at 33..40 ms; the read that sees it comes on demand, 0..10 ms after."""
    network = _network("4..10 ms")
    schedule = schedule_of(network, _path(network, "controller", "x", "controller"))
    assert schedule is not None
    assert [(part.earliest_us, part.latest_us) for part in schedule.happenings] == [
        (4_000, 10_000),
        (33_000, 40_000),
        (33_000, 50_000),
    ]


def test_idle_reads_are_placed_so_that_no_two_reads_are_further_apart_than_a_period_allows() -> None:
    network = _network("4..10 ms")
    schedule = schedule_of(network, _path(network, "controller", "x", "controller"))
    assert schedule is not None
    first, moved, last = (part.time_us for part in schedule.happenings)
    reads = [first, *schedule.idle_read_times_us, last]
    gaps = [later - sooner for sooner, later in itertools.pairwise(reads)]
    assert all(4_000 <= gap <= 10_000 for gap in gaps)
    assert all(read <= moved for read in schedule.idle_read_times_us), "an idle read after it would have seen it"


def test_a_fixed_period_puts_the_reads_on_its_grid() -> None:
    """Reads at 10, 20, 30, 40 ms: x moves at 33 at the earliest, so 40 ms is the first read that can see it."""
    network = _network("10 ms")
    schedule = schedule_of(network, _path(network, "controller", "x", "controller"))
    assert schedule is not None
    assert [part.time_us for part in schedule.happenings][::2] == [10_000, 40_000]
    assert schedule.idle_read_times_us == (20_000, 30_000)


def test_no_schedule_where_the_fixed_grid_has_no_read() -> None:
    """The read on demand could come at 41..49 ms; a periodic one cannot."""
    network = _network("10 ms")
    path = _path(network, "controller", "x", "controller")
    between = (Constraint(0, 3, 49_000), Constraint(3, 0, -41_000))
    assert schedule_of(network, path, between) is None
    assert schedule_of(network, path, (Constraint(3, 0, -41_000),)) is not None, "50 ms will do"


def test_no_schedule_for_times_that_contradict_the_ranges() -> None:
    network = _network("4..10 ms")
    path = _path(network, "controller", "x")
    assert schedule_of(network, path, (Constraint(2, 0, -40_001),)) is None


def test_an_event_waits_for_no_other_that_is_overdue() -> None:
    """x cannot move before the first read is due at 10 ms at the latest."""
    network = _network("4..10 ms")
    assert schedule_of(network, _path(network, "x")) is None


def test_a_path_is_told_from_the_start_through_the_failure() -> None:
    text = RELAY.replace("PERIOD", "10 ms").replace("x1: {signals: s}", "x1: {signals: s, next: {x2: {failure: breaks}}}, x2: {}")
    network = build_network(read_sequence_text(text, "relay.yaml"), (), PLAIN)
    layered = LayeredSearch(network=network, monitors=(), hypothesis=Hypothesis(count=1, named=("x.breaks",)))
    _, seeds = layered.base()
    ((failures, _),) = seeds.items()
    path = layered.path((failures,), lambda search: search.parents[-1] if search.parents[-1][1] else (0, None))
    assert [edge.event.faults for edge in path.edges if edge.event.faults] == [("x.breaks",)]
    assert path.start == normal_start(network)[0].state
