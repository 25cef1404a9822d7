"""The concrete engine.

The same kernel run on a real clock, with chosen times and real periodic reads, idle ones too.
"""
