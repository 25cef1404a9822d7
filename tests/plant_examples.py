"""One example device of every type, and a short notation for positions, for tests of the plant."""

from __future__ import annotations

from seqcheck.errors import Place
from seqcheck.language.expression import Name
from seqcheck.language.field import FieldValue, FreeMove, FreeState, Signal
from seqcheck.language.sequence import Accumulator, Device, Entry, Line, MachineData, Unwind
from seqcheck.plant.behaviour import Behaviour, Move, Position
from seqcheck.plant.catalogue import DEVICE_TYPES
from seqcheck.quantities.time import TimeRange

PLACE = Place("wipes.yaml", 7, 3)


def ms(earliest: int, latest: int) -> TimeRange:
    return TimeRange(earliest * 1_000, latest * 1_000)


def signal(name: str) -> Signal:
    return Signal(name=name)


def name(text: str) -> Name:
    return Name(PLACE, text)


MACHINE = MachineData(
    line=Line(speed_m_per_s=4.0, stop=ms(2000, 2500), start=ms(3000, 3500)),
    unwind=Unwind(stop=ms(900, 1100), start=ms(1000, 1200), overspeed_ratio=0.15),
    rewind=Unwind(stop=ms(1500, 1800), start=ms(1800, 2100), overspeed_ratio=0.1),
    accumulator=Accumulator(
        strands=12,
        stroke_m=1.5,
        running_ratio=0.2,
        filled_ratio=0.95,
        reserve_ratio=0.05,
        emptied_ratio=0.08,
    ),
)

FREE_STATES = (
    FreeState(
        name="parked",
        facts=("is_parked",),
        signals=(signal("parked"),),
        initial=True,
        moves=(
            FreeMove(to="turning", when=name("turret_turn")),
            FreeMove(to="stuck", failure="seizes"),
        ),
    ),
    FreeState(
        name="turning",
        facts=("is_moving",),
        moves=(
            FreeMove(to="parked", after=ms(800, 900)),
            FreeMove(to="parked", act="pushes_back", when=name("hood.is_open")),
            FreeMove(to="creeping", failure="drags"),
        ),
    ),
    FreeState(name="creeping", facts=("is_moving",), moves=(FreeMove(to="parked", after=ms(800, 9000)),)),
    FreeState(name="stuck", facts=("is_stuck",)),
)

EXAMPLES: dict[str, dict[str, FieldValue]] = {
    "cylinder": {
        "out": ms(120, 250),
        "back": ms(100, 220),
        "output": "clamp_close",
        "switches.out": signal("clamp_closed"),
        "switches.home": signal("clamp_open"),
        "switches.band": ms(5, 40),
    },
    "rotary_knife": {"turn": ms(300, 400), "output": "cut", "home": signal("knife_home"), "band": ms(10, 30)},
    "valve": {
        "open": ms(30, 60),
        "close": ms(40, 80),
        "output": "air_on",
        "opened": signal("air_opened"),
        "closed": signal("air_closed"),
    },
    "supply": {
        "while": name("dump.is_open"),
        "fall": ms(100, 400),
        "rise": ms(500, 900),
        "signal": signal("air_ok"),
    },
    "load": {
        "held by": name("brake.is_on"),
        "drop": ms(400, 800),
        "raised by": name("lift.is_on"),
        "raise": ms(2000, 3000),
        "raised": signal("carriage_up"),
        "dropped": signal("carriage_down"),
    },
    "vacuum": {"output": "vacuum_on", "build": ms(200, 500), "decay": ms(50, 150), "made": signal("held")},
    "drive": {"run": "unwind_run", "stopped": signal("unwind_stopped"), "at_speed": signal("unwind_fast")},
    "line_drive": {"run": "line_run", "stopped": signal("line_stopped"), "at_speed": signal("line_fast")},
    "accumulator": {
        "fill": "fill_accumulator",
        "unwind": "unwind",
        "line": "line",
        "filled": signal("accumulator_full"),
        "running": signal("accumulator_level"),
    },
    "rewind": {"run": "rewind_run", "stopped": signal("rewind_stopped"), "at_speed": signal("rewind_fast")},
    "take_up": {
        "empty": "empty_take_up",
        "rewind": "rewind",
        "line": "line",
        "emptied": signal("take_up_emptied"),
        "running": signal("take_up_level"),
    },
    "roll": {"low": signal("roll_low"), "remaining": ms(20_000, 30_000), "unwind": "unwind"},
    "decurler": {
        "engage": "decurl",
        "at full": 20.0,
        "at core": 60.0,
        "rate": 0.04,
        "home": signal("decurler_home"),
        "in_range": signal("decurler_ready"),
    },
    "web_guide": {
        "hold": "guide_hold",
        "centre": "guide_centre",
        "travel": 75.0,
        "rate": 0.02,
        "settle": ms(800, 2000),
        "accuracy": 0.5,
        "weave": 4.0,
        "span": 1500.0,
        "centred": signal("guide_centred"),
        "limit": signal("guide_limit"),
        "edge": signal("edge_seen"),
    },
    "splice": {
        "made while": name("press.is_out"),
        "runs while": name("unwind.is_moving"),
        "travel": ms(900, 1500),
        "passes": ms(20, 60),
        "seen": signal("splice_seen"),
        "double": signal("splice_double"),
        "off": signal("splice_off"),
        "web": signal("web_after_cut"),
    },
    "web_break": {"broken": signal("web_broken")},
    "guard": {"closed": signal("hood_closed"), "locked": signal("hood_locked"), "lock": "hood_lock"},
    "emergency_stop": {"healthy": signal("estop_ok")},
    "pushbutton": {"pressed": signal("request")},
    "hold_to_run": {"held": signal("jog_held"), "positions": "three"},
    "two_hand_control": {"on": signal("both_hands")},
    "mode_selector": {
        "positions": (
            FreeState(name="automatic", signals=(signal("mode_automatic"),)),
            FreeState(name="jog", signals=(signal("mode_jog"),)),
            FreeState(name="setting", signals=(signal("mode_setting"),)),
        ),
        "between": ms(0, 300),
    },
    "muted_light_curtain": {
        "clear": signal("curtain_clear"),
        "first": name("cart_1.is_seen"),
        "second": name("cart_2.is_seen"),
        "limit": 10_000_000,
        "enable": name("lift.is_on"),
        "muted": signal("curtain_muted"),
    },
    "selector": {"on": signal("automatic")},
    "light_curtain": {"clear": signal("curtain_clear")},
    "sensor": {
        "seen": signal("mark"),
        "while": name("clamp.is_out"),
        "appears": ms(10, 20),
        "leaves": ms(5, 15),
    },
    "timed": {"output": "heat", "on": ms(100, 200), "off": ms(300, 400), "signal": signal("hot")},
    "free": {"states": FREE_STATES},
}
"""Values of one device of each type, with all of its positions."""


def device(type_name: str, **changes: FieldValue | None) -> Device:
    """The example device of a type, `part`; `changes` (`a__b`: `a.b`, `a___b`: `a b`) replace values, None removes."""
    values: dict[str, FieldValue | None] = {**EXAMPLES[type_name]}
    values |= {
        key.rstrip("_").replace("___", " ").replace("__", "."): value for key, value in changes.items()
    }
    entries = tuple(
        Entry(name=key, value=value, place=PLACE) for key, value in values.items() if value is not None
    )
    return Device(name="part", place=PLACE, type_name=type_name, entries=entries)


def behaviour(type_name: str, machine: MachineData = MACHINE, **changes: FieldValue | None) -> Behaviour:
    """The behaviour of the example device of a type, with `changes`."""
    return DEVICE_TYPES[type_name].behaviour(device(type_name, **changes), machine)


def moves(subject: Behaviour, mode: str = "") -> dict[str, list[str]]:
    """Each position of a mode with its moves in short: `go_out output -> out`, `reach 12..25 -> out`."""
    return {
        position.name: [_short(move) for move in position.moves]
        for position in subject.positions
        if position.mode == mode
    }


def facts(subject: Behaviour, mode: str = "") -> dict[str, str]:
    """Each position of a mode with its facts, and its signals after a bar."""
    return {
        position.name: f"{' '.join(sorted(position.facts))} | {' '.join(sorted(position.signals))}".strip()
        for position in subject.positions
        if position.mode == mode
    }


def failures(subject: Behaviour) -> dict[str, str]:
    """Each failure with its mode, and its contact after a bar where it has one."""
    return {
        failure.name: failure.mode + (f" | {failure.contact}" if failure.contact else "")
        for failure in subject.failures
    }


def position(subject: Behaviour, name: str, mode: str = "") -> Position:
    """The position of that name in that mode."""
    return next(position for position in subject.positions if position.name == name and position.mode == mode)


def _short(move: Move) -> str:
    parts = [move.name]
    if move.after is not None:
        latest = "any" if move.after.latest_us is None else f"{move.after.latest_us / 1000:g}"
        parts.append(f"{move.after.earliest_us / 1000:g}..{latest}")
    parts += [role if value else f"not {role}" for role, value in move.when]
    if move.act is not None:
        parts.append("(act)")
    return f"{' '.join(parts)} -> {move.to}"
