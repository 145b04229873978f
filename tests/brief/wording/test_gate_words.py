"""A gate's printed figures never tell another story than its verdict. Expected words follow from the figures
beside them."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from briefgen.brief.wording.gates import figures_words
from briefgen.plan.model import Gate

EVENING = datetime(2027, 1, 30, 23, 59, 40, tzinfo=UTC)
MORNING = datetime(2027, 1, 31, 0, 10, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("value", "sense", "limit", "unit", "expected"),
    [
        (1140.0, "at least", 1000.0, "ft", "1140 ft (at least 1000 ft)"),
        (999.6, "at least", 1000.0, "ft", "999.6 ft (at least 1000 ft)"),  # would read as its limit
        (
            999.9996,
            "at least",
            1000.0,
            "ft",
            "1000 ft (at least 1000 ft)",
        ),  # half a millimetre in a thousand feet is nobody's difference
        (366.05, "at most", 400.0, "KCAS", "366 KCAS (at most 400 KCAS)"),
        (400.2, "at most", 400.0, "KCAS", "400.2 KCAS (at most 400 KCAS)"),
        (11.187, "at least", 9.0, "s", "11.2 s (at least 9 s)"),
        (535.8, "at least", 240.0, "s", "8 min 56 s (at least 4 min)"),
        (
            239.7,
            "at least",
            240.0,
            "s",
            "239.7 s (at least 240 s)",
        ),  # in whole seconds it would read as its limit
        (21621.3, "at most", 43200.0, "s", "6 h 0 min 21 s (at most 12 h)"),
        (None, "at least", 240.0, "s", "not known (at least 4 min)"),
        (None, "", None, "s", "not known"),
        (1310, "", None, "lb", "1310 lb (no limit given)"),
        (75, "at least", 72.5, "kg", "75 kg (at least 72.5 kg)"),
        (70, "at least", 68.038856, "kg", "70 kg (at least 68.04 kg)"),  # 150 lb
        (1.0, "at least", 1.0, "ships", "1 ship (at least 1 ship)"),
        (0.0, "at least", 1.0, "flypasts", "0 flypasts (at least 1 flypast)"),
        (100.0, "at least", 80.0, "s", "1 min 40 s (at least 1 min 20 s)"),
        # a limit of time reads on its safe side: who keeps 63 s keeps 63.7 s, who waits 4:01 waits 240.3 s
        (300.0, "at most", 63.7, "s", "5 min (at most 1 min 3 s)"),
        (300.0, "at least", 240.3, "s", "5 min (at least 4 min 1 s)"),
        (63.5, "at most", 63.78, "s", "63.5 s (at most 63.7 s)"),
        (50.0, "at least", 40.12, "s", "50 s (at least 40.2 s)"),
        (120.4, "at most", 120.6, "s", "120.4 s (at most 120.6 s)"),  # 2 min (at most 2 min) says less
        ("in order", "", "in order", "", "in order"),
        ("0.57", "", "below 1", "Mach", "0.57 (below 1)"),
        (EVENING, "at most", MORNING, "instant", "23:59:40 Z (not after 31 Jan 00:10:05 Z)"),
    ],
)
def test_figures_read_as_the_verdict_does(value, sense, limit, unit, expected):
    gate = Gate("x", "X", "PASS", value, limit, None, unit, sense, "", "", ())
    assert figures_words(gate, day=date(2027, 1, 30)) == expected
