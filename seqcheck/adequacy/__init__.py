"""The sequence changed on purpose, one place at a time: which requirement notices."""
