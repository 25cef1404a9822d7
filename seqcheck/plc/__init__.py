"""The controller side: what a programmable controller is given (IEC 61131-3), and what is read back from it."""
