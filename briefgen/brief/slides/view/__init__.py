"""The values that templates see, already worded, one module a topic."""
