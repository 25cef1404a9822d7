"""What one run of the controller does: order, memory, flags, alarms, watchdogs and timers."""

from __future__ import annotations

import pytest
from kernel.stepping import ByHand, network_of

BUTTONS = "devices: {b: {type: pushbutton, pressed: p}, r: {type: pushbutton, pressed: q}}\n"


def test_memory_changes_only_at_a_read() -> None:
    chart = """\
charts: {c: {a: {initial: true, next: {d: p AND RISING(q)}}, d: {do: [{f: S}]}}}
flags: [f]
"""
    run = ByHand(network_of(BUTTONS + chart)).fire("read")
    before = run.state.memory
    run.fire("b presses", "r presses", "r releases", "r presses")
    assert run.state.memory == before
    run.fire("read")
    assert (run.steps(), run.cell("f")) == (("d",), 1)


def test_a_later_chart_sees_the_step_that_an_earlier_one_has_just_taken() -> None:
    chart = "charts: {c: {a: {initial: true, next: {d: p}}, d: {}}, e: {x: {initial: true, next: {y: c.d.X}}, y: {}}}\n"
    assert ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read").steps() == ("d", "y")


def test_an_earlier_chart_sees_the_step_of_a_later_one_only_at_the_next_read() -> None:
    chart = "charts: {e: {x: {initial: true, next: {y: c.d.X}}, y: {}}, c: {a: {initial: true, next: {d: p}}, d: {}}}\n"
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read")
    assert run.steps() == ("x", "d")
    assert run.fire("read").steps() == ("y", "d")


def test_a_chart_takes_at_most_one_transition_a_read() -> None:
    chart = "charts: {c: {a: {initial: true, next: {d: p}}, d: {next: {e: p}}, e: {}}}\n"
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read")
    assert run.steps() == ("d",)
    assert run.fire("read").steps() == ("e",)


def test_of_several_transitions_the_first_in_the_file_is_taken() -> None:
    chart = "charts: {c: {a: {initial: true, next: {d: p, e: p}}, d: {}, e: {}}}\n"
    assert ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read").steps() == ("d",)


def test_a_common_transition_comes_before_the_steps_own() -> None:
    chart = "charts: {c: {a: {initial: true, next: {d: p}}, d: {}, e: {}, any step but e: {next: {e: p}}}}\n"
    assert ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read").steps() == ("e",)


def test_every_chart_sees_a_flag_as_of_the_last_read() -> None:
    """The flag is driven by the first chart, in the read that enters d; the second chart sees it one read later."""
    chart = """\
charts:
  c: {a: {initial: true, next: {d: p}}, d: {do: [f]}}
  e: {x: {initial: true, next: {y: f}}, y: {}}
flags: [f]
"""
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read")
    assert (run.steps(), run.cell("f")) == (("d", "x"), 1)
    assert run.fire("read").steps() == ("d", "y")


def test_a_flag_goes_off_with_the_step_that_drives_it() -> None:
    chart = "charts: {c: {a: {initial: true, next: {d: p}}, d: {do: [f], next: {a: NOT p}}}}\nflags: [f]\n"
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read")
    assert run.cell("f") == 1
    assert run.fire("b releases", "read").cell("f") == 0


WATCHED = """\
charts: {c: {a: {initial: true, next: {d: p}}, d: {within: 50 ms, alarm: w, next: {a: NOT p}}}}
alarms: {w: {text: late, clear: q}}
"""
IN_D = ("read", "b presses", "read", "read")


def test_a_watchdog_counts_from_the_read_that_enters_its_step() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED)).fire("read", "b presses", "read")
    assert run.pending()["timer c.d watchdog"] == (50_000, 50_000)


def test_the_read_that_sees_a_watchdog_expired_raises_the_alarm() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED)).fire(*IN_D, "c.d watchdog expires")
    assert run.cell("w") == 0
    assert run.pending() == {"read": (0, 10_000)}
    assert run.fire("read").cell("w") == 1


def test_the_alarm_is_raised_also_by_a_read_that_leaves_the_late_step() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED)).fire(*IN_D, "c.d watchdog expires", "b releases", "read")
    assert (run.steps(), run.cell("w")) == (("a",), 1)


def test_leaving_a_step_in_time_stops_its_watchdog() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED)).fire(*IN_D, "b releases", "read")
    assert run.pending() == {"read": (4_000, 10_000)}


def test_an_alarm_stays_when_what_raised_it_is_gone() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED)).fire(*IN_D, "c.d watchdog expires", "b releases", "read", "read")
    assert run.cell("w") == 1


def test_an_alarm_is_cleared_by_a_read_in_which_clear_holds_and_nothing_raises_it() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED))
    run.fire(*IN_D, "c.d watchdog expires", "b releases", "read", "read", "r presses", "read")
    assert run.cell("w") == 0


def test_clear_does_not_clear_an_alarm_that_is_being_raised() -> None:
    run = ByHand(network_of(BUTTONS + WATCHED)).fire(*IN_D, "c.d watchdog expires", "read", "read", "r presses")
    assert run.pending() == {}, "a read would change nothing"
    assert run.cell("w") == 1


def test_clear_sees_a_flag_as_of_the_last_read() -> None:
    chart = """\
charts: {c: {a: {initial: true, do: [w], next: {d: p}}, d: {do: [f]}}}
flags: [f]
alarms: {w: {text: late, clear: f}}
"""
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read")
    assert (run.cell("f"), run.cell("w")) == (1, 1)
    assert run.fire("read").cell("w") == 0


def test_a_self_transition_restarts_the_time_of_the_step() -> None:
    chart = "charts: {c: {a: {initial: true, next: {d: a.T >= T#80ms, a: RISING(p)}}, d: {}}}\n"
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read")
    assert run.steps() == ("a",)
    assert run.pending() == {"read": (4_000, 10_000), "timer c.a.T reaches its limit": (80_000, 80_000)}
    assert run.goes_on() == set(), "the time of step a starts anew"


@pytest.mark.parametrize(
    ("condition", "in_d", "after"),
    [
        ("TON(p, T#50ms)", False, {"read": (4_000, 10_000), "timer TON(p, T#50ms)": (50_000, 50_000)}),
        ("TP(p, T#50ms)", True, {"read": (4_000, 10_000), "timer TP(p, T#50ms)": (50_000, 50_000)}),
        ("TOF(p, T#50ms)", True, {"read": (4_000, 10_000)}),
    ],
)
def test_a_timer_starts_at_the_read_that_first_saw_its_input(
    condition: str, in_d: bool, after: dict[str, tuple[int, int]]
) -> None:
    run = ByHand(network_of(f'{BUTTONS}charts: {{c: {{a: {{initial: true, next: {{d: "{condition}"}}}}, d: {{}}}}}}\n'))
    run.fire("read", "b presses")
    assert run.pending() == {"read": (0, 10_000)}
    run.fire("read")
    assert run.steps() == (("d",) if in_d else ("a",))
    assert run.pending() == after


def test_a_timer_that_expires_is_seen_by_the_next_read() -> None:
    chart = 'charts: {c: {a: {initial: true, next: {d: "TON(p, T#50ms)"}}, d: {}}}\n'
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read", "read", "TON(p, T#50ms) expires")
    assert (run.steps(), run.pending()) == (("a",), {"read": (0, 10_000)})
    assert run.fire("read").steps() == ("d",)


def test_a_timer_whose_input_falls_between_two_reads_goes_on() -> None:
    """The controller works on what it has sampled: the gap was too short to be seen."""
    chart = 'charts: {c: {a: {initial: true, next: {d: "TON(p, T#50ms)"}}, d: {}}}\n'
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read", "b releases", "b presses", "read")
    assert run.goes_on() == {"timer TON(p, T#50ms)"}


def test_an_edge_is_true_in_one_read() -> None:
    chart = 'charts: {c: {a: {initial: true, next: {d: "RISING(p)"}}, d: {next: {a: "RISING(p)"}}}}\n'
    run = ByHand(network_of(BUTTONS + chart)).fire("read", "b presses", "read", "read")
    assert (run.steps(), run.pending()) == (("d",), {"read": (4_000, 10_000)}), "the second read forgot the edge"
    assert run.fire("read").steps() == ("d",)
