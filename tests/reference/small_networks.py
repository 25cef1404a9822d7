"""Hypothesis strategies that write small random sequence files: every kind of condition, qualifier and device a little.

All times are small whole multiples of `TICK_MS`, so a search in ticks is exact.
"""

from __future__ import annotations

from hypothesis import strategies as st

TICK_MS = 10
TICK_US = TICK_MS * 1_000


def _time(ticks: int) -> str:
    return f"{ticks * TICK_MS} ms"


def _range(first: int, last: int) -> str:
    return f"{first * TICK_MS}..{last * TICK_MS} ms"


@st.composite
def ranges(draw: st.DrawFn, least: int = 0, most: int = 3) -> str:
    """A range of a few ticks whose latest time is not zero."""
    last = draw(st.integers(max(1, least), most))
    return _range(draw(st.integers(least, last)), last)


class _Draft:
    """What a file has so far. Mutable; owned by one draw."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.devices: list[str] = []
        self.circuits: list[str] = []
        self.signals: list[str] = []
        self.outputs: list[str] = []
        self.flags: list[str] = []
        self.energy = False

    def chance(self, out_of: int) -> bool:
        """True once in so many draws."""
        return self.draw(st.integers(1, out_of)) == out_of

    def signal(self, name: str) -> str:
        """A new input, sometimes with a delay."""
        self.signals.append(name)
        return f"{{name: {name}, delay: {self.draw(ranges(0, 1))}}}" if self.chance(8) else name

    def output(self, name: str) -> str:
        """A new output; of a circuit's device it needs energy too."""
        self.outputs.append(name)
        return f"output: {name}" + (", energy: air" if self.energy and self.chance(2) else "")


# -- devices -----------------------------------------------------------------------------------------------------


def _cylinder(draft: _Draft, number: int) -> str:
    name = f"k{number}"
    parts = [f"out: {draft.draw(ranges())}", f"back: {draft.draw(ranges())}", draft.output(f"{name}_go")]
    switches = [f"out: {draft.signal(f'{name}_out')}"]
    if draft.chance(2):
        switches.append(f"home: {draft.signal(f'{name}_home')}")
    if draft.chance(2):
        switches.append(f"band: {draft.draw(ranges(0, 1))}")
    return f"{name}: {{type: cylinder, {', '.join(parts)}, switches: {{{', '.join(switches)}}}}}"


def _timed(draft: _Draft, number: int) -> str:
    name = f"t{number}"
    times = f"on: {draft.draw(ranges())}, off: {draft.draw(ranges())}"
    return f"{name}: {{type: timed, {draft.output(f'{name}_on')}, {times}, signal: {draft.signal(f'{name}_is_on')}}}"


def _guard(draft: _Draft, number: int) -> str:
    return f"g{number}: {{type: guard, closed: {draft.signal(f'g{number}_closed')}}}"


def _pushbutton(draft: _Draft, number: int) -> str:
    return f"b{number}: {{type: pushbutton, pressed: {draft.signal(f'b{number}_pressed')}}}"


def _free(draft: _Draft, number: int) -> str:
    """Three states in a ring, each way of a random kind that takes time or somebody's act, and perhaps a failure."""
    name = f"f{number}"
    go = draft.draw(st.sampled_from([*draft.outputs, *draft.signals]))
    draft.signals.append(f"{name}_there")
    away = draft.draw(
        st.sampled_from(
            [f"{{when: {go}, after: {draft.draw(ranges())}}}", go, "{act: pushes}", f"{{when: {go}, act: pulls}}"]
        )
    )
    back = draft.draw(st.sampled_from([f"{{when: NOT {go}, after: {draft.draw(ranges())}}}", f"NOT {go}"]))
    torn = ", broken: {failure: breaks}" if draft.chance(2) else ""
    last = ", broken: {next: {going: {act: mends}}}" if torn else ""
    return (
        f"{name}: {{type: free, states: {{resting: {{initial: true, facts: [is_resting], next: {{going: {away}}}}}, "
        f"going: {{facts: [is_going], next: {{there: {{after: {draft.draw(ranges())}}}, resting: {back}{torn}}}}}, "
        f"there: {{facts: [is_there], signals: [{name}_there], next: {{resting: {back}}}}}{last}}}}}"
    )


_DRIVEN = (_cylinder, _timed)
_OTHERS = (_cylinder, _timed, _guard, _pushbutton, _pushbutton, _free)


def _circuit(draft: _Draft) -> str:
    channels = draft.draw(st.lists(st.sampled_from(draft.signals), min_size=1, max_size=2, unique=True))
    parts = [f"channels: [{', '.join(channels)}]", f"drop: {draft.draw(ranges(0, 2))}"]
    if len(channels) == 2 and draft.chance(2):
        parts.append(f"discrepancy: {_time(draft.draw(st.integers(1, 2)))}")
    if draft.chance(2):
        parts.append(f"reset: {draft.draw(st.sampled_from(draft.signals))}")
    if draft.chance(3):
        draft.signals.append("air_on")
        parts.append("signal: air_on")
    return f"  air: {{{', '.join(parts)}}}"


# -- charts ------------------------------------------------------------------------------------------------------


def _atom(draft: _Draft, charts: dict[str, list[str]], watched: list[str]) -> str:
    """A name, a step flag, a step time, a timer or an edge."""
    signal = draft.draw(st.sampled_from(draft.signals))
    step = draft.draw(st.sampled_from([f"{chart}.{step}" for chart, steps in charts.items() for step in steps]))
    ticks = draft.draw(st.integers(1, 3)) * TICK_MS
    choices = [
        *[signal] * 6,
        f"{step}.X",
        f"{step}.T >= T#{ticks}ms",
        f"{step}.T < T#{ticks}ms",
        f"TON({signal}, T#{ticks}ms)",
        f"TOF({signal}, T#{ticks}ms)",
        f"TP({signal}, T#{ticks}ms)",
        f"RISING({signal})",
        f"FALLING({signal})",
        *draft.outputs,
        *draft.flags,
        "w",
        *watched,
    ]
    return draft.draw(st.sampled_from(choices))


def _condition(draft: _Draft, charts: dict[str, list[str]], watched: list[str]) -> str:
    parts = [
        ("NOT " if draft.chance(3) else "") + _wrapped(_atom(draft, charts, watched))
        for _ in range(draft.draw(st.integers(1, 2)))
    ]
    return '"' + draft.draw(st.sampled_from((" AND ", " OR ", " XOR "))).join(parts) + '"'


def _wrapped(atom: str) -> str:
    return f"({atom})" if ".T" in atom else atom


def _action(draft: _Draft) -> str:
    variable = draft.draw(st.sampled_from([*draft.outputs * 2, *draft.flags, "w"]))
    qualifier = draft.draw(st.sampled_from(("N",) * 6 + ("S", "R", "R", "P", "L", "D", "SD", "DS", "SL")))
    if qualifier == "N":
        return variable
    time = f" {_time(draft.draw(st.integers(1, 3)))}" if qualifier in ("L", "D", "SD", "DS", "SL") else ""
    return f"{{{variable}: {qualifier}{time}}}"


def _step(
    draft: _Draft, name: str, following: str, charts: dict[str, list[str]], chart: str, watched: list[str]
) -> str:
    parts = ["initial: true"] if name == charts[chart][0] else []
    if draft.outputs and draft.chance(1 if name != charts[chart][0] else 3):
        parts.append(f"do: [{', '.join(_action(draft) for _ in range(draft.draw(st.integers(1, 2))))}]")
    if f"{chart}.{name}.late" in watched:
        parts.append(f"within: {_time(draft.draw(st.integers(1, 4)))}, alarm: w")
    ways = [f"{{to: {following}, if: {_condition(draft, charts, watched)}}}"]
    if draft.chance(3):
        other = draft.draw(st.sampled_from(charts[chart]))
        ways.insert(0, f"{{to: {other}, if: {_condition(draft, charts, watched)}}}")
    parts.append(f"next: [{', '.join(ways)}]")
    return f"    {name}: {{{', '.join(parts)}}}"


def _chart(draft: _Draft, chart: str, charts: dict[str, list[str]], watched: list[str]) -> list[str]:
    steps = charts[chart]
    ring = zip(steps, [*steps[1:], steps[0]], strict=True)
    lines = [f"  {chart}:", *(_step(draft, *pair, charts, chart, watched) for pair in ring)]
    if draft.chance(4):
        lines.append(f"    any step but {steps[0]}: {{next: {{{steps[0]}: {_condition(draft, charts, watched)}}}}}")
    return lines


@st.composite
def sequence_texts(draw: st.DrawFn, most_devices: int = 3, most_steps: int = 4, most_charts: int = 2) -> str:
    """The text of a small sequence file; it may still break a rule of the reader."""
    draft = _Draft(draw)
    draft.energy = draft.chance(3)
    others = draw(st.lists(st.sampled_from(_OTHERS), max_size=most_devices - 1))
    kinds = (draw(st.sampled_from(_DRIVEN)), *others)
    draft.devices = [kind(draft, number) for number, kind in enumerate(kinds)]
    circuits = ["circuits:", _circuit(draft)] if draft.energy else []
    draft.flags = ["m"] if draft.chance(2) else []
    charts = {
        chart: [f"{chart}{number}" for number in range(draw(st.integers(2, most_steps)))]
        for chart in ("x", "y")[: draw(st.integers(1, most_charts))]
    }
    all_steps = [f"{chart}.{step}" for chart, steps in charts.items() for step in steps]
    watched = [f"{step}.late" for step in draw(st.lists(st.sampled_from(all_steps), max_size=1))]
    period = draw(st.sampled_from([(1, 1), (1, 2), (2, 2)]))
    write = draw(st.sampled_from(["0 ms", "0 ms", _range(0, 1), _time(1)]))
    lines = [
        "sequence: small network",
        f"scan: {{period: {_range(*period)}, write: {write}}}",
        "devices:",
        *(f"  {device}" for device in draft.devices),
        *circuits,
        *(["flags: [m]"] if draft.flags else []),
        f"alarms: {{w: {{text: watchdog, clear: {_condition(draft, charts, watched)}}}}}",
        "charts:",
    ]
    for chart in charts:
        lines += _chart(draft, chart, charts, watched)
    return "\n".join(lines) + "\n"
