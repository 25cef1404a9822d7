"""A small machine with all that a drawing can show: a hazard, a circuit, a sensor of a device, two charts, any step but."""

from __future__ import annotations

from dataclasses import replace

from seqcheck.language.sequence import Sequence
from seqcheck.reader.read import read_sequence_text

EXAMPLE = """\
sequence: Cutter
revision: 3
scan: {period: 10 ms, write: 0 ms}
devices:
  knife:
    type: cylinder
    out: 100..200 ms
    back: 100..200 ms
    output: knife_fire
    energy: knife_air
    switches: {out: knife_through, home: knife_home}
    hazard: cut
  hood: {type: guard, closed: hood_closed}
  hood_2: {type: sensor, seen: hood_closed_2, while: hood.is_closed}
  start: {type: pushbutton, pressed: start_pressed}
circuits:
  knife_air: {channels: [hood_closed, hood_closed_2], drop: 20 ms}
flags: [lamp_on]
alarms:
  knife_late: {text: Knife is late, clear: start_pressed AND knife_home}
charts:
  cut:
    ready: {initial: true, prompt: Press start, next: {cutting: start_pressed AND knife_home AND NOT knife_late}}
    cutting:
      do: [knife_fire]
      within: 400 ms
      alarm: knife_late
      next: {back: knife_through, ready: cutting.late}
    back: {next: {ready: knife_home AND back.T >= T#100ms}}
    any step but ready: {next: {ready: NOT hood_closed}}
  lamp:
    dark: {initial: true, next: {lit: cut.cutting.X}}
    lit: {do: [lamp_on], next: {dark: NOT cut.cutting.X}}
"""

HOSTILE = """</title><script>"x"</script> & &lt;i&gt; {a|b} \\n \\N \\ <b>"""


def example() -> Sequence:
    """The small machine."""
    return read_sequence_text(EXAMPLE, "cutter.yaml")


def hostile() -> Sequence:
    """The small machine with a name, a hazard and a prompt that try to be markup; a reader would refuse some of them."""
    sequence = example()
    knife, *devices = sequence.devices
    cut, *charts = sequence.charts
    ready, *steps = cut.steps
    ready = replace(ready, prompt=HOSTILE)
    steps = [replace(step, prompt=f"{HOSTILE}\x00\x1b[2J") for step in steps]
    return replace(
        sequence,
        name=HOSTILE,
        revision="\\",
        devices=(replace(knife, hazard=HOSTILE), *devices),
        charts=(replace(cut, name=HOSTILE, steps=(ready, *steps)), *charts),
    )
