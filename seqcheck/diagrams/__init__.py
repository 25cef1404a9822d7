"""Pictures of a sequence: each chart with its steps, and the plant with what drives and tells what."""
