"""Can the approval sheet print it? Names, roles and signs that a record must not hold."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.approval.record import Approver
from briefgen.core.diagnostics import Diagnostic
from briefgen.draw.scene.palette import FONT_FAMILY
from briefgen.draw.typeset.measure import missing_glyphs
from briefgen.units.blank import names_nothing
from briefgen.units.people import names_a_post, names_nobody

FEWEST_LETTERS = 2  # of a name or a role


def printed_names(approver: Approver, *, whose: str = "the approver's") -> Iterator[Diagnostic]:
    """What is wrong with somebody's name, role, and the name of whom they act for, as texts."""
    given = [
        ("name", "by", approver.name),
        ("role", "role", approver.role),
        *([("place", "acting-for", approver.acting_for)] if approver.acting_for else []),
    ]
    for what, option, text in given:
        if sum(sign.isalpha() for sign in text) < FEWEST_LETTERS or not text.isprintable() or len(text) > 80:
            message = f"{whose} {what} must be 1 to 80 printable characters, {FEWEST_LETTERS} of them letters"
            yield Diagnostic("approval-who", "error", message, help=f"give it with --{option}")
        elif names_nothing(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what}, {text}, only keeps the place of one",
                why="the record says who decides, and in what role",
                help=f"give it with --{option}",
            )
        elif option != "role" and names_nobody(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what}, {text}, is a rank without a name",
                why="the record says who decides, and in what role",
                help=f"write the name behind it, with an initial if it reads like a rank, with --{option}",
            )
        elif option != "role" and names_a_post(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what}, {text}, is a post, and names no person",
                why="the record says who decides: a person, whose name is compared with the crew's",
                help=f"give the person's name with --{option}, and the post with --role",
            )
        elif signs := unprintable(text):
            yield Diagnostic(
                "approval-who",
                "error",
                f"{whose} {what} has {signs}, which the approval sheet can't print",
                help="write it in Latin letters",
            )


def unprintable(text: str) -> str:
    """The signs of a text that the printed sheet has no picture of, else those that are none to see, as code
    points; empty when there is none."""
    signs = missing_glyphs(text, FONT_FAMILY["card"]) or [sign for sign in text if not sign.isprintable()]
    return ", ".join(f"U+{ord(sign):04X}" for sign in signs)
