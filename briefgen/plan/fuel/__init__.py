"""Fuel of every ship along the clock: flows, sums, rounding, bingo and joker."""
