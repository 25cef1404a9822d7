"""The one refusal that the formulas of this package share: a divisor that must be positive, and is not."""


def require_positive(name: str, value: float) -> None:
    """Raise ValueError, naming the value, unless it is above zero (so not-a-number is refused too)."""
    if not value > 0:
        raise ValueError(f"{name} must be positive, found {value}")
