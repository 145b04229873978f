"""The air, straight legs, courses as typed, and the ways to the diverts."""
