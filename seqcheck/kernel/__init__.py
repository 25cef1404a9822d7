"""The one meaning of a sequence, without a clock: states, pending events, and what happens when one fires."""
