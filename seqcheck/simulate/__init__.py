"""The concrete engine: the kernel run on a real clock, with chosen times and real periodic reads."""
