"""The pieces of a sortie as small pictures, each in a box of one size."""

from __future__ import annotations

from math import cos, pi, sin
from typing import Literal

from briefgen.draw.scene.marks import triangle
from briefgen.draw.scene.model import Ellipse, Line, Point, Rect, Shape

Piece = Literal["climb", "training", "rejoin", "transit", "hold", "run-in", "recovery", "open"]
WIDTH, HEIGHT = 46.0, 28.0
_SHIP = 5.0


def picture(piece: Piece, middle: Point) -> list[Shape]:
    """What the flight does in a piece: climbing off the ground, two sides in an area, ships closing up, one
    leg after another, the racetrack, a run to a point, coming down to the ground; dashes for what isn't
    given."""
    x, y = middle
    left, right, top, foot = x - WIDTH / 2, x + WIDTH / 2, y - HEIGHT / 2, y + HEIGHT / 2
    match piece:
        case "climb":
            rising = Line(((left + 6, foot - 2), (x, foot - 8), (right - 2, top + 2)), "track", "end")
            return [Line(((left, foot), (right, foot)), "line"), rising]
        case "recovery":
            sinking = Line(((left + 2, top + 2), (x, foot - 8), (right - 6, foot - 2)), "track", "end")
            return [Line(((left, foot), (right, foot)), "line"), sinking]
        case "training":
            sides = (triangle((x - 9, y), 7, "blue_solid", 90), triangle((x + 9, y), 7, "red_solid", 270))
            return [Rect(left, top, WIDTH, HEIGHT, "area"), *sides]
        case "rejoin":
            spots = ((right - 8, y), (x + 2, y - 8), (x + 2, y + 8), (left + 10, y - 1))
            return [triangle(spot, _SHIP, "track_solid", 90) for spot in spots]
        case "transit":
            return [Line(((left, foot - 4), (x - 4, y - 4), (right - 2, y - 4)), "track", "end")]
        case "hold":
            return [_racetrack(x, y)]
        case "run-in":
            return [
                Line(((left, y), (right - 10, y)), "track", "end"),
                Ellipse((right - 5, y), 5, 5, "target_solid"),
            ]
        case "open":
            return [Line(((left, y), (right, y)), "track_dashed")]


def _racetrack(x: float, y: float) -> Line:
    r, half = 0.42 * HEIGHT, WIDTH / 2 - 0.42 * HEIGHT
    turn = [pi * i / 12 for i in range(13)]
    right = [(x + half + r * sin(a), y - r * cos(a)) for a in turn]
    left = [(x - half - r * sin(a), y + r * cos(a)) for a in turn]
    return Line((*right, *left, right[0]), "hold")
