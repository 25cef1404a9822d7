"""One small file for each device type: two steps that switch its output, or watch its input, at times of whole ticks."""

from __future__ import annotations

SWITCHED = """\
sequence: one device
scan: {{period: 10..20 ms, write: 0 ms}}
devices:
  go: {{type: pushbutton, pressed: go_pressed}}
{devices}
{circuits}
charts:
  x:
    off: {{initial: true, next: {{on: go_pressed}}}}
    on: {{do: [{output}], next: {{off: NOT go_pressed, tried: s}}}}
    tried: {{next: {{off: NOT s}}}}
"""
"""`output` is switched on while the button is pressed and s is off; then s must go off."""

CIRCUIT = "circuits: {air: {channels: [go_pressed], drop: 10..20 ms, signal: air_on}}"

SWITCHED_DEVICES = {
    "cylinder": "{type: cylinder, out: 10..30 ms, back: 20..20 ms, output: o, switches: {out: s, home: h, band: 0..10 ms}}",
    "cylinder with two solenoids": "{type: cylinder, out: 10..20 ms, back: 10..20 ms, output: o, opposite: p,"
    " switches: {out: s}}",
    "slow cylinder": "{type: cylinder, out: 10..20 ms, back: 10..20 ms, slow: 20 ms, output: o, switches: {out: s}}",
    "valve": "{type: valve, open: 10..20 ms, close: 0..30 ms, output: o, opened: s}",
    "valve with two solenoids": "{type: valve, open: 10..20 ms, close: 10..30 ms, output: o, opposite: p, opened: s}",
    "cylinder with a closed centre": "{type: cylinder, valve: closed centre, out: 10..20 ms, back: 10..20 ms, output: o,"
    " opposite: p, switches: {out: s}}",
    "cylinder with an open centre": "{type: cylinder, valve: open centre, without air: drops home, fall: 10..30 ms,"
    " out: 10..20 ms, back: 10..20 ms, output: o, opposite: p, switches: {out: s}}",
    "vacuum": "{type: vacuum, build: 20..30 ms, decay: 10..20 ms, output: o, made: s}",
    "timed": "{type: timed, on: 0..20 ms, off: 10..10 ms, output: o, signal: s}",
    "drive": "{type: drive, run: o, stop: 20..30 ms, start: 10..20 ms, coast: 40 ms, stopped: s, at_speed: v}",
    "line_drive": "{type: line_drive, run: o, stop: 20..30 ms, start: 10..20 ms, stopped: s}",
    "rotary_knife": "{type: rotary_knife, output: o, turn: 20..30 ms, band: 0..10 ms, home: s}",
    "decurler": "{type: decurler, engage: o, at full: 1.05 mm, at core: 2.85 mm, rate: 100 mm/s, initially: home, in_range: s}",
    "web_guide": "{type: web_guide, hold: o, travel: 1.9 mm, rate: 100 mm/s, settle: 10..20 ms, limit: s, edge: e}",
    "web_guide that is centred": "{type: web_guide, hold: p, centre: o, travel: 1.9 mm, rate: 100 mm/s,"
    " settle: 10..20 ms, centred: s}",
    "drive that jogs": "{type: drive, run: r, jog: o, stop: 10..20 ms, start: 10..20 ms, jog stop: 0..20 ms, initially: stopped,"
    " stopped: s}",
    "guard with an escape release": "{type: guard, closed: s, lock: o, escape: release, engage: 10..20 ms, release: 0..10 ms}",
    "guard with a lock": "{type: guard, closed: s, lock: o, locked: l, engage: 10..20 ms, release: 0..10 ms}",
    "guard locked by a spring": "{type: guard, closed: s, unlock: o, locked: l, engage: 10..20 ms, release: 0..10 ms}",
}
"""The devices with an output o and an input s."""

WATCHED_DEVICES = {
    "guard": "{type: guard, closed: s}",
    "supply": "{type: supply, while: go.is_pressed, fall: 10..20 ms, rise: 0..30 ms, signal: s}",
    "splice": "{type: splice, made while: go.is_pressed, runs while: NOT go.is_pressed, travel: 10..30 ms, passes: 10..20 ms,"
    " seen: s, web: w}",
    "emergency_stop": "{type: emergency_stop, healthy: s}",
    "selector": "{type: selector, on: s}",
    "hold_to_run": "{type: hold_to_run, held: s, positions: three}",
    "two-hand control of type III": "{type: two_hand_control, on: s, synchrony: 20 ms}",
    "mode_selector": "{type: mode_selector, positions: {up: s, down: t}, between: 0..10 ms}",
    "muted_light_curtain": "{type: muted_light_curtain, clear: s, first: go.is_pressed, second: lamp.is_on, limit: 20 ms,"
    " concurrence: 10 ms, muted: m2}",
    "light_curtain": "{type: light_curtain, clear: s}",
    "web_break": "{type: web_break, broken: s}",
    "sensor": "{type: sensor, seen: s, while: go.is_pressed, appears: 0..20 ms, leaves: 10..10 ms}",
    "signal with a delay": "{type: pushbutton, pressed: {name: s, delay: 10..20 ms}}",
}
"""The devices with an input s alone; a lamp is switched."""

SUPPLIED_DEVICES = {
    "cylinder that drops without air": "{type: cylinder, air: go_air, without air: drops home, fall: 20..30 ms,"
    " out: 10..20 ms, back: 10..20 ms, output: o, switches: {out: s}}",
    "cylinder that keeps its valve without air": "{type: cylinder, air: go_air, without air: holds, out: 20..30 ms,"
    " back: 10..20 ms, output: o, opposite: p, switches: {out: s}}",
    "cylinder that drifts without air": "{type: cylinder, air: go_air, without air: drifts, out: 10..20 ms,"
    " back: 10..20 ms, output: o, switches: {out: s}}",
    "cylinder that is held": "{type: cylinder, held by: NOT go_air.is_on, without air: drops home, out: 20..30 ms,"
    " back: 10..20 ms, output: o, switches: {out: s}}",
    "vacuum that lasts without air": "{type: vacuum, air: go_air, hold: 10..30 ms, build: 20..30 ms, decay: 10..20 ms,"
    " output: o, made: s}",
    "load that is held": "{type: load, held by: go_air.is_on, drop: 20..30 ms, raised by: lift.is_on, raise: 20..20 ms,"
    " raised: s}",
}
"""The devices that need a supply `go_air`, which the button switches."""

SUPPLY = "  go_air: {type: supply, while: go.is_pressed, fall: 10..20 ms, rise: 0..10 ms}"
LIFT = "  lift: {type: timed, on: 10..10 ms, off: 10..10 ms, output: o}"

_LAMP = "  lamp: {type: timed, on: 10..20 ms, off: 10..10 ms, output: o}"


def single_device_texts() -> dict[str, str]:
    """The texts by name; drives also with energy from a circuit."""
    found = {name: _file(f"  d: {text}", text) for name, text in SWITCHED_DEVICES.items()}
    found |= {name: _file(f"  d: {text}\n{_LAMP}", text) for name, text in WATCHED_DEVICES.items()}
    for name, text in SUPPLIED_DEVICES.items():
        lift = f"\n{LIFT}" if "lift" in text else ""
        found[name] = _file(f"{SUPPLY}{lift}\n  d: {text}", text)
    for name in ("cylinder", "valve", "drive"):
        text = SWITCHED_DEVICES[name].replace("{type", "{energy: air, type", 1)
        found[f"{name} with energy"] = _file(f"  d: {text}", text, CIRCUIT)
    return found


def _file(devices: str, text: str, circuits: str = "") -> str:
    output = "{o: N, p: P}" if ": p," in text else "o"
    return SWITCHED.format(devices=devices, circuits=circuits, output=output)
