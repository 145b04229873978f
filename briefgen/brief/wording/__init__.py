"""Digits, units and words: the one way to print a value, and the sentences that several products share."""
