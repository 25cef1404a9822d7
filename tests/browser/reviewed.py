"""Sequence files for the page, and the page of each."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from seqcheck.cli.main import run

HOSTILE = (
    "</title></script><script>document.title='taken'</script><img src=x onerror=document.title='taken'>"
    """ & "quoted" 'single' {{ 7*7 }}"""
)
"""Text that would be markup, script or template if it were not escaped."""

CLAMP = """\
sequence: @NAME
revision: 1
note: @TEXT
scan: {period: 5..10 ms, write: 1..3 ms}
web: {width: 400 mm, caliper: 0.5 mm, grammage: 50 g/m2, stiffness: 10 kN, tension: {run: 60 N, least: 20 N, most: 140 N}}
line: {speed: 120 m/min, stop: 2..3 s}
devices:
  clamp: {type: cylinder, out: 120..250 ms, back: 100..220 ms, output: clamp_close, switches: {out: clamp_closed, home: clamp_open}}
  knife:
    type: cylinder
    out: 180..260 ms
    back: 200..300 ms
    output: knife_fire
    switches: {out: knife_through, home: knife_home}
    hazard: @HAZARD
  hood: {type: guard, closed: hood_closed}
  request: {type: pushbutton, pressed: splice_requested}
alarms:
  late: {text: @TEXT, clear: splice_requested}
charts:
  splice:
    ready: {initial: true, prompt: @TEXT, next: {clamping: splice_requested AND hood_closed AND knife_home}}
    clamping: {do: [clamp_close], within: 400 ms, alarm: late, next: {cutting: clamp_closed}}
    cutting: {do: [clamp_close, knife_fire], within: 400 ms, alarm: late, next: {opening: knife_through}}
    opening: {within: 600 ms, alarm: late, next: {ready: clamp_open AND knife_home}}
    any step but ready: {next: {ready: NOT hood_closed}}
requirements:
  - {id: R1, interlock: knife_fire, only while: hood_closed, drop within: 40 ms, under: any one fault, text: @TEXT, clause: @TEXT}
  - {id: R2, never: knife.is_moving AND hood.is_open, text: @TEXT}
"""


def _filled(name: str, text: str, hazard: str) -> str:
    """The file with these texts, as YAML writes them in single quotes."""
    values = {"@NAME": name, "@TEXT": text, "@HAZARD": hazard}
    filled = CLAMP
    for mark, value in values.items():
        filled = filled.replace(mark, "'" + value.replace("'", "''") + "'")
    return filled


PLAIN_FILE = _filled("Clamp and knife", "A plain sentence", "cut")
HOSTILE_FILE = _filled(HOSTILE, HOSTILE, HOSTILE[:60])


@cache
def page_of(text: str) -> Path:
    """The page of the sequence with this text, made once."""
    folder = Path(mkdtemp(prefix="seqcheck-review-"))
    file = folder / "clamp.yaml"
    file.write_text(text, encoding="utf-8")
    assert run(["review", str(file), "--jobs", "1", "--date", "2030-01-31"]) == 1
    return folder / "clamp.html"
