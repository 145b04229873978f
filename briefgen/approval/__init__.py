"""The supervisor's decision: its record, the bounds in which it stands, and whether a product belongs to
it."""
