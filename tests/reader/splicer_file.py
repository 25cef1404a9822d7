"""A small but complete splicer: the good file that tests of the whole reader share."""

SPLICER = """\
sequence: Trial splicer
revision: 7
note: for tests
scan: {period: 4..10 ms, write: 0..10 ms}
web: {width: 420 mm, caliper: 0.45 mm, grammage: 55 g/m2, stiffness: 12 kN, tension: {run: 60 N, least: 20 N}}
line: {speed: 240 m/min, stop: 2.0..2.5 s, start: 2..3 s}
roll: {outside: 1200 mm, core: 76 mm}
unwind: {stop: 0.9..1.1 s, start: 1.0..1.2 s, overspeed: 15 %}
accumulator: {strands: 12, stroke: 1.5 m, running: 20 %, filled: 95 %, reserve: 5 %}
devices:
  unwind: {type: drive, run: unwind_run, stopped: unwind_stopped, energy: drives}
  line: {type: line_drive, run: line_run}
  festoon: {type: accumulator, fill: fill_festoon, unwind: unwind, line: line, filled: festoon_full}
  knife:
    type: cylinder
    out: 180..260 ms
    back: 200..300 ms
    output: knife_fire
    switches: {home: {name: knife_home, delay: 2..5 ms}, band: 5..40 ms}
    hazard: cut
    without: {failures: [slow], because: the stroke is short}
    intermittent: home_signal_stuck_off
  hood: {type: guard, closed: hood_closed, lock: hood_lock}
  stop: {type: emergency_stop, healthy: estop_ok}
  request: {type: pushbutton, pressed: splice_request}
  reset_button: {type: pushbutton, pressed: reset}
circuits:
  drives:
    channels: [estop_ok, hood.is_closed]
    drop: 10..30 ms
    discrepancy: 500 ms
    reset: reset
    signal: drives_on
flags: [spliced]
alarms:
  fill_late: {text: The festoon is not full., clear: reset}
  knife_late: {text: The knife did not come home., clear: reset AND knife_home}
charts:
  splice:
    ready:
      initial: true
      do: [unwind_run, line_run]
      next: {filling: splice_request AND estop_ok AND drives_on}
    filling:
      do: [unwind_run, line_run, fill_festoon]
      within: 30 s
      alarm: fill_late
      next: {cutting: festoon_full}
    cutting:
      do: [hood_lock, line_run, {knife_fire: L 300 ms}, {spliced: S}]
      within: 1.5 s
      alarm: knife_late
      next:
        - {to: ready, if: knife_home AND cutting.T >= T#500ms AND unwind_stopped}
        - {to: faulted, if: cutting.late}
        - {to: faulted, if: "FALLING(estop_ok)"}
    faulted: {do: line_run, prompt: Clear the web, next: {ready: reset AND hood_closed}}
    any step but ready, faulted: {next: {faulted: NOT hood_closed}}
  lamp:
    dark: {initial: true, next: {lit: spliced AND splice.cutting.X}}
    lit: {do: [{spliced: R}], next: {dark: NOT cutting.X}}
requirements:
  - id: R1
    interlock: knife_fire
    only while: hood_closed AND unwind_stopped
    drop within: 60 ms
    under: any one fault
    clause: ISO 12100 6.3.2
  - id: R2
    never: knife.is_moving AND hood.is_open AND cutting.X
    text: The knife never moves at an open hood.
    under: faults knife.jams, hood.closed_signal_stuck_on
    start: anywhere
  - id: R3
    from: filling
    reaches: [ready, faulted]
    within: 45 s
    severity: production
    given: hood stays closed; no operator act but request, reset_button
"""
