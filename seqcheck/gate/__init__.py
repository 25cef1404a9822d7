"""The gate: what a change of sequences takes away from what was proven before, and whether that may be merged."""
