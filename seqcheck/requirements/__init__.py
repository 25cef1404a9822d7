"""What must hold: one file a kind, each saying its fields in a file, what it watches and how it judges."""
