"""What a sequence file says: text with places, expressions, and the dataclasses of a sequence."""
