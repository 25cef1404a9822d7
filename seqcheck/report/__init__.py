"""What a safety reviewer reads: the facts as dataclasses, and their writers."""
