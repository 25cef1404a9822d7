"""A small machine with a mode selector and a knife that jogs by hold-to-run, for tests of modes."""

MODES = """\
sequence: Modes
scan: {period: 10 ms, write: 0 ms}
devices:
  knife: {type: timed, output: knife_run, on: 10..20 ms, off: 10..20 ms, hazard: cut}
  selector: {type: mode_selector, positions: {automatic: in_automatic, jog: in_jog}, between: 20..50 ms}
  start: {type: pushbutton, pressed: start_pressed}
  hold: {type: hold_to_run, held: jog_held}
  hood: {type: guard, closed: hood_closed}
modes:
  automatic: in_automatic AND NOT in_jog
  jog: in_jog AND NOT in_automatic
charts:
  c:
    stands: {initial: true, next: {ready: in_automatic AND NOT in_jog, setting: in_jog AND NOT in_automatic}}
    ready: {next: {stands: NOT in_automatic OR in_jog, runs: hood_closed AND RISING(start_pressed)}}
    setting: {next: {stands: NOT in_jog OR in_automatic, jogs: RISING(jog_held)}}
    runs: {do: [knife_run], next: {stands: NOT in_automatic OR in_jog OR NOT hood_closed}}
    jogs: {do: [knife_run], next: {stands: NOT in_jog OR in_automatic OR NOT jog_held}}
rules: [{mode change: start_pressed OR jog_held}]
requirements:
  - {id: R1, interlock: knife_run, only while: hood_closed, in mode: automatic, drop within: 40 ms}
  - {id: R2, interlock: knife_run, only while: jog_held, in mode: jog, drop within: 40 ms, under: any one fault}
  - {id: R3, never: knife_run AND c.runs.X, in mode: [jog]}
"""
