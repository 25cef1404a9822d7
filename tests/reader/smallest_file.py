"""The smallest good sequence file, and pieces to make the smallest bad ones from it."""

SCAN = """\
sequence: Trial
scan: {period: 10 ms, write: 0 ms}
"""

MINIMAL = f"{SCAN}charts: {{c: {{a: {{initial: true}}}}}}\n"

BUTTON = "devices: {b: {type: pushbutton, pressed: p}}\n"
CYLINDER = "devices: {k: {type: cylinder, out: 1..2 s, back: 1..2 s, output: o, switches: {out: s}}}\n"
ALARM = "alarms: {w: {text: late, clear: p}}\n"


def with_step(step: str, more: str = "") -> str:
    """A file with a button p and a chart of two steps, the second as given; it stands in line 7."""
    return f"{SCAN}{BUTTON}charts:\n  c:\n    a: {{initial: true, next: {{d: p}}}}\n    d: {step}\n{more}"


def with_requirement(requirement: str, devices: str = BUTTON) -> str:
    """A file with one requirement, which stands in line 6."""
    return f"{MINIMAL}{devices}requirements:\n  - {requirement}\n"


def with_device(device: str) -> str:
    """A file with one device b, which stands in line 5."""
    return f"{MINIMAL}devices:\n  b: {device}\n"


def with_circuit(circuit: str) -> str:
    """A file with a button p and one circuit e, which stands in line 6."""
    return f"{MINIMAL}{BUTTON}circuits:\n  e: {circuit}\n"


def with_states(states: str) -> str:
    """A file with one free-form device, in line 4."""
    return f"{MINIMAL}devices: {{b: {{type: free, states: {states}}}}}\n"
