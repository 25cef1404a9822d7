"""Safety calculations of open standards: plain functions of numbers."""
