"""Two sequences side by side: what one can do and the other cannot, what was changed, what was weakened."""
