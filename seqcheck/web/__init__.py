"""The web as plain numbers: roll, ramps, accumulator, tension, and where a splice is. No files, no clock, no
state."""
