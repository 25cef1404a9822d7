"""The explorer against spin on copies of the bundled sequences: equal sets of projected network states.

The copies are the bundled files with every range widened to multiples of a tick; no device, chart or act is left out. The tick is
`TICKS_US`: 50 ms, or where spin does not finish within the time that a test may take the next one with which it does. Left out of
the states on both sides, by `without_chosen`: the values of inputs that a read chooses (pushbuttons and selectors that only the
controller looks at), and the phase of the scan. The explorer runs with all its reductions when no fault is allowed.

With one fault it is one named failure mode at a time, not any one of all: these cannot be told apart once a search is over, and with all
of them together spin does not finish (the wipes line: more than 5 million tick states in five minutes). The explorer then runs in two
ways: with late faults and contacts failing at the read, compared by what requirements see, and without these two reductions,
compared by every state.

Without spin or gcc these tests are skipped, but on the build server (`CI` set) their absence is a failure.
"""
