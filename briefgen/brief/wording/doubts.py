"""What the check of a mission file doubts, in words: its cautions."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.read.tree import dotted

DOUBTS = "The check doubts"


def doubt_words(doubt: Diagnostic) -> str:
    """``weather.at.PONTOON.qnh: QNH 1080.0 hPa at PONTOON, ...``."""
    return f"{dotted(doubt.cause)}: {doubt.message}" if doubt.cause else doubt.message


def doubts_words(doubts: Iterable[Diagnostic]) -> list[str]:
    """One sentence each, without those of the same words."""
    return list(dict.fromkeys(doubt_words(doubt) for doubt in doubts))
