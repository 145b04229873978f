"""A kneeboard card's tables as its reader takes them in: times whole, with the hour that a head gives."""

from __future__ import annotations

import re

from briefgen.brief.cards.model import Card, Grid


def whole(table: Grid) -> list[tuple[str, ...]]:
    """The rows, each time with its hour: under ``T`` and ``03:`` the cell ``30:02`` is ``03:30:02``."""
    hours = [found[1] if (found := re.search(r"(\d\d:)$", head)) else "" for head in table.heads]
    return [
        tuple(
            hour + cell if re.fullmatch(r"\d\d:\d\d", cell) else cell
            for hour, cell in zip(hours, row, strict=True)
        )
        for row in table.rows
    ]


def slip_rows(card: Card, side: int = 1) -> dict[str, tuple[str, ...]]:
    """By the slip: T, SET, the laps (or what is said instead), the last turn, leave, and the last
    read-back."""
    return {row[0]: row[1:] for row in whole(card.sides[side][1]["slips"])}


def slip_note(card: Card, side: int = 1) -> str:
    """What stands under slips and push-up."""
    (_, said), *_ = card.sides[side][1]["notes"].items
    return said


def figures_of(card: Card) -> dict[str, str]:
    """What the approval sheet says in figures, by its label: what is large with what stands under it, the
    table of several passes by the pass, and the lines beside the map."""
    side = card.sides[0][1]
    large = {label: f"{value}; {detail}" for label, value, detail in side["figures"].items}
    passes = {row[0]: "; ".join(row[1:]) for row in side["passes"].rows} if side["passes"] else {}
    return {**large, **passes, **(dict(side["answers"].rows) if side["answers"] else {})}


def open_rows(card: Card) -> list[tuple[str, str, str]]:
    """What the approval sheet lists as open, on both pages: the line above its group, the figure, and what
    to do."""
    found, head = [], ""
    for table in (side["open"] for _, side in card.sides if side["open"]):
        for place, row in enumerate(table.rows):
            if (place, 0) in table.wide:
                head = row[0]
            else:
                found.append((head, row[0], row[1]))
    return found
