"""A cue that is typed an hour off, or overlaps another, is told: sums of the clock times in the rows."""

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import PASS_ONLY, changed

# the hymn begins at 13:00:00 event (+02:00 in May, 11:00:00 Z) and lasts 60 s: T is 11:01:00 Z
HYMN = "HYMN: {says: First note, time: 13:00:00 event, lasts: 60 s}"
ROWS = {
    "as it should be":        ("12:55:00 event, lasts: 60 s", "", []),
    "until the next begins":  ("12:55:00 event, lasts: 300 s", "", []),
    "an hour late":           ("13:55:00 event, lasts: 60 s", "", ["error cue-after-t"]),
    "by its offset":          ("12:55:00 +0100, lasts: 60 s", "", ["error cue-after-t"]),
    "at T":                   ("13:01:00 event, lasts: 60 s", "", ["error cue-after-t"]),
    "a second before T":      ("13:00:59 event", "", ["caution cues-overlap", "caution cues-out-of-order"]),
    "it lasts into the next": ("12:55:00 event, lasts: 301 s", "", ["caution cues-overlap"]),
    "at the same second":     ("13:00:00 event", "", []),
    "out of order":           ("12:55:00 event", "12:50:00 event", ["caution cues-out-of-order"]),
    "an hour early":          ("12:55:00 +0300, lasts: 60 s", "12:58:00 +0200", ["caution cue-offsets"]),
    "close, two offsets":     ("13:55:00 +0300, lasts: 60 s", "12:58:00 +0200", []),
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_a_cue_that_cannot_be_where_it_is_typed_is_told(name):
    speech, flag, expected = ROWS[name]
    lines = f"SPEECH: {{says: Mayor begins, time: {speech}}}\n    "
    lines += f"FLAG: {{says: Flag, time: {flag}}}\n    " if flag else ""
    found = load_mission_text(changed(PASS_ONLY, HYMN, lines + HYMN), "m.yaml")[1]

    assert [f"{d.severity} {d.code}" for d in found] == expected
