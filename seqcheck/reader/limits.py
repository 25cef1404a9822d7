"""How much one file may hold: far more than a real one does, few enough to cost no hours."""

MOST_CHARTS = 64
"""Charts in a file. A large splicer has about five."""

MOST_STEPS = 500
"""Steps in one chart. A large one has about forty."""

MOST_DEVICES = 500
"""Devices in a file. A large splicer has about forty."""

MOST_CIRCUITS = 64
"""Safety circuits in a file."""

MOST_FLAGS = 500
"""Flags in a file."""

MOST_ALARMS = 1_000
"""Alarms in a file."""

MOST_REQUIREMENTS = 2_000
"""Requirements in a file."""

MOST_SAFETY_FUNCTIONS = 200
"""Safety functions in a file. A splicer has about ten."""

MOST_MODES = 50
"""Modes of operation. A machine has about five."""

MOST_RULES = 50
"""Rule sets that a file asks for."""

MOST_TRANSITIONS = 50
"""Ways out of one step; the findings compare each with each."""

MOST_ACTIONS = 200
"""Actions of one step."""

MOST_STRANDS = 200
"""Strands of an accumulator. Large festoons have about forty."""

MOST_PARAMETERS = 20
"""Parameters of copies in a file."""

MOST_COPIES = 12
"""Copies that one parameter stands for. A turret has three spindles, a line about eight lifts."""

MOST_COPIED_NODES = 30_000
"""Values in a file once every copy is written out. A large file has about 5000."""

MOST_BASES = 5
"""Files from a variant down to its last base. A longer chain hides where a value comes from."""

LONGEST_NAME = 64
"""Characters of a name. Longer ones fit no diagram, table or PLC."""

LONGEST_TEXT = 2_000
"""Characters of a sentence or note."""

MOST_NAMES_DECIDED = 16
"""Names in two conditions that a truth table (2 ** 16 rows) still decides; with more, no finding is made."""
