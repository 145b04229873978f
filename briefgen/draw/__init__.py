"""Measured text, and a small vector drawing with an SVG back end."""
