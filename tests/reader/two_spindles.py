# ruff: noqa: E501 -- lines of a sequence file
"""A small file with two spindles, written once, for tests of copies and of symmetry."""

TWO_SPINDLES = """\
sequence: Two spindles
scan: {period: 10 ms, write: 0 ms}
copies:
  spindle: [a, b]
devices:
  load_<spindle>: {type: pushbutton, pressed: load_<spindle>_pressed}
  chuck_<spindle>: {type: cylinder, out: 100..150 ms, back: 100..150 ms, output: chuck_<spindle>_close, switches: {out: chuck_<spindle>_closed}}
flags: [busy_<spindle>]
alarms:
  late_<spindle>: {text: Chuck of spindle <spindle> too late, clear: load_<spindle>_pressed}
charts:
  spindle_<spindle>:
    empty: {initial: true, next: {chucking: load_<spindle>_pressed AND NOT busy_<other spindle>}}
    chucking: {do: [chuck_<spindle>_close, busy_<spindle>], within: 300 ms, alarm: late_<spindle>, next: {held: chuck_<spindle>_closed}}
    held: {do: [chuck_<spindle>_close], next: {empty: NOT load_<spindle>_pressed}}
requirements:
  - {id: R1.<spindle>, never: chuck_<spindle>.is_out AND spindle_<spindle>.empty.X}
  - {id: R2.<spindle>, detects: [chuck_<spindle>.jams], within: 1 s, alarm: late_<spindle>, under: any one fault}
  - {id: R3, never: ANY <spindle> (chuck_<spindle>.is_moving AND NOT busy_<spindle>)}
"""
