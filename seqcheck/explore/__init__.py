"""The symbolic engine: classes of states over dense time, searched breadth first."""
