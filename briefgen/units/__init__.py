"""Values with their datum, reference and clock, and their parsing from text."""
