"""T predicted from the script. Times in these tests are seconds after the planned start of PARADE; every sum
is written out."""

from math import sqrt

import pytest

from briefgen.airmath.script import Heard, Part, planned_target_s, predict

PARADE = Part("PARADE", 216, 10)  # 14:24:30 to 14:28:06
ANTHEM = Part("ANTHEM", 116, 4, (("LINE2", 24), ("LINE4", 70)))
SCRIPT = (PARADE, ANTHEM)


def test_a_slow_second_line():
    """LINE2 heard 27 s after ANTHEM, 3 s late. Prior pace 1 with precision (116/4)^2 = 841; heard pace 27/24
    = 1.125 with precision 24^2 = 576. Pace (841 + 648)/1417 = 1.0508116; rest 92 x 1.0508116 = 96.67466; T =
    ANTHEM + 123.67466, 7.67 s later than planned."""
    found = predict(SCRIPT, 0, (Heard("ANTHEM", 216), Heard("LINE2", 243)))
    assert found.slip_s == pytest.approx(3 + 92 * 1489 / 1417 - 92, abs=1e-9)
    assert found.slip_s == pytest.approx(7.67, abs=0.005)
    assert found.deviation_s == pytest.approx(92 / sqrt(1417), abs=1e-9)


def test_a_late_anthem_that_catches_up():
    """ANTHEM 12 s late, LINE2 missed, LINE4 68 s after it (2 s sooner than its 70). Heard pace 68/70,
    precision 4900; prior 841. Pace (841 + 4900 x 68/70)/5741 = (841 + 4760)/5741 = 0.9756140; rest 46 x
    0.9756140 = 44.87825; T = 228 + 68 + 44.87825 = 340.87825 against 332: 8.88 s later."""
    found = predict(SCRIPT, 0, (Heard("ANTHEM", 228), Heard("LINE4", 296)))
    assert found.target_s == pytest.approx(340.87825, abs=1e-5)
    assert found.slip_s == pytest.approx(8.87825, abs=1e-5)


def test_a_late_mark_moves_t_by_more_than_it_is_late():
    """A part of 180 s with a spread of 4 s, its mark after 40 s heard 4 s late. Prior precision (180/4)^2 =
    2025, heard pace 44/40 = 1.1 with 40^2 = 1600: pace (2025 + 1760)/3625 = 1.0441379; the rest 140 x
    1.0441379 = 146.17931; T = 44 + 146.17931 = 190.17931, 10.18 s later."""
    script = (Part("ANTHEM", 180, 4, (("VERSE2", 40),)),)
    found = predict(script, 0, (Heard("ANTHEM", 0), Heard("VERSE2", 44)))
    assert found.slip_s == pytest.approx(10.17931, abs=1e-5)


@pytest.mark.parametrize(
    ("spread", "heard", "deviation_s"),
    [
        # the rest of a part without a spread is nominal: by LINE2 ANTHEM was 3 s later
        (0, (("ANTHEM", 216), ("LINE2", 243)), 3.0),
        # LINE4 68 s after ANTHEM, pace 5601/5741: by it ANTHEM was at 0 - (68.29296 - 68) = -0.29296 s, less
        # than the 46/sqrt(5741) = 0.60711 s of the rest
        (4, (("ANTHEM", 228), ("LINE4", 296)), 46 / sqrt(5741)),
        # LINE2 30 s after it, 6 s late, contradicts that: by LINE4 it is at 228 + 68 - 46 x 5601/5741 =
        # 251.12176, 6.87824 s sooner than heard; with ANTHEM's 0.29296 the root of the mean square
        (4, (("ANTHEM", 228), ("LINE2", 258), ("LINE4", 296)), sqrt((6.87824**2 + 0.29296**2) / 2)),
        # a mark before its own cue: by LINE2 ANTHEM was at 221, heard at 250
        (4, (("LINE2", 245), ("ANTHEM", 250)), 29.0),
        (None, (("ANTHEM", 216), ("LINE2", 243)), None),
    ],
)
def test_marks_that_contradict_each_other_are_no_second_exact(spread, heard, deviation_s):
    script = (PARADE, Part("ANTHEM", 116, spread, ANTHEM.marks))
    found = predict(script, 0, tuple(Heard(*note) for note in heard))
    assert found.deviation_s == (None if deviation_s is None else pytest.approx(deviation_s, abs=1e-4))


def test_an_anthem_that_does_not_come():
    """PARADE heard 20 s late: T + 20, deviation sqrt(10^2 + 4^2). ANTHEM is then expected at 20 + 216 = 236,
    give or take 10 s. At 256, two deviations on, nothing is overdue. At 260 ANTHEM is, by 24 s; nobody has
    heard it, so T stays at what was heard last."""
    heard = (Heard("PARADE", 20),)
    assert predict(SCRIPT, 0, heard, now_s=256, deadband_s=3).overdue == ()
    assert predict(SCRIPT, 0, heard).deviation_s == pytest.approx(sqrt(116))
    late = predict(SCRIPT, 0, heard, now_s=260, deadband_s=3)
    assert (late.slip_s, late.overdue, late.late_s) == (pytest.approx(20), ("ANTHEM",), pytest.approx(24))


def test_each_cue_and_mark_is_expected_after_what_was_heard_last():
    """Nothing heard: as planned, ANTHEM at 216, its marks 24 and 70 s later. PARADE 20 s late moves them all.
    ANTHEM 12 s late and LINE2 27 s after it: pace 1489/1417 as above, LINE4 46 s of the script later at 255 +
    46 x 1.0508116 = 303.3373."""
    assert predict(SCRIPT, 0, ()).expected == (("PARADE", 0), ("ANTHEM", 216), ("LINE2", 240), ("LINE4", 286))
    assert predict(SCRIPT, 0, (Heard("PARADE", 20),)).expected == (
        ("ANTHEM", 236),
        ("LINE2", 260),
        ("LINE4", 306),
    )
    ((mark, at_s),) = predict(SCRIPT, 0, (Heard("ANTHEM", 228), Heard("LINE2", 255))).expected
    assert (mark, at_s) == ("LINE4", pytest.approx(303.3373, abs=1e-4))


def test_a_mark_at_the_very_beginning_of_a_part_stands_for_its_cue():
    script = (PARADE, Part("ANTHEM", 116, 4, (("FIRST", 0),)))
    found = predict(script, 0, (Heard("FIRST", 216),), now_s=300, deadband_s=3)
    assert (found.expected, found.overdue) == ((), ())


@pytest.mark.parametrize(
    ("heard", "slip_s", "why"),
    [
        ((), 0.0, "nothing heard: as planned"),
        ((Heard("ANTHEM", 211),), -5.0, "a cue 5 s early, its own spread still to come"),
        ((Heard("PARADE", 20), Heard("ANTHEM", 211)), -5.0, "the later cue wipes out the earlier"),
        ((Heard("ANTHEM", 300), Heard("ANTHEM", 211)), -5.0, "tapped again: the last counts"),
        ((Heard("ANTHEM", 211), Heard("PARADE", 20)), -5.0, "the order of tapping does not matter"),
        (
            (Heard("LINE2", 245),),
            5.0,
            "a mark whose cue was missed: 24 s after it, so 5 s late, pace not known",
        ),
        (
            (Heard("LINE2", 245), Heard("ANTHEM", 250)),
            10.0 - 5.0,
            "a mark before its own cue can't be a pace: 245 + 92 = 337 against 332",
        ),
        ((Heard("ENCORE", 400),), 0.0, "an id the script doesn't have"),
    ],
)
def test_what_counts_as_heard(heard, slip_s, why):
    assert predict(SCRIPT, 0, heard).slip_s == pytest.approx(slip_s, abs=1e-9), why


@pytest.mark.parametrize("spread", [None, 0])
def test_without_a_spread_the_pace_is_nominal(spread):
    """ANTHEM on time, LINE2 3 s late: the rest is nominal, T + 3."""
    script = (PARADE, Part("ANTHEM", 116, spread, ANTHEM.marks))
    found = predict(script, 0, (Heard("ANTHEM", 216), Heard("LINE2", 243)))
    assert (found.slip_s, found.pace) == (pytest.approx(3), 1.0)
    assert found.deviation_s == (None if spread is None else 3.0)  # by LINE2 ANTHEM was 3 s later


def test_the_pace_of_one_part_is_not_carried_into_the_next():
    """PARADE with a mark at 100 heard 110 s in. Prior (216/10)^2 = 466.56, heard 10^4: pace (466.56 +
    11000)/10466.56 = 1.0955424; the rest of PARADE 116 x 1.0955424 = 127.08292; ANTHEM nominal 116: T = 110 +
    127.08292 + 116 = 353.08292."""
    script = (Part("PARADE", 216, 10, (("WHEEL", 100),)), ANTHEM)
    found = predict(script, 0, (Heard("PARADE", 0), Heard("WHEEL", 110)))
    assert found.target_s == pytest.approx(353.08292, abs=1e-5)
    assert found.deviation_s == pytest.approx(sqrt((116 / sqrt(10466.56)) ** 2 + 16), abs=1e-6)


@pytest.mark.parametrize(
    ("now_s", "late_s", "overdue"),
    # nothing heard: PARADE's spread is 10 s, so that it and ANTHEM, 216 s on, are overdue after 20 s; late by
    # what the first of them is late, and T as planned
    [
        (3, 0, ()), (20, 0, ()), (21, 21, ("PARADE",)), (100, 100, ("PARADE",)), (236, 236, ("PARADE",)),
        (237, 237, ("PARADE", "ANTHEM")),
    ],
)  # fmt: skip
def test_a_script_that_does_not_start(now_s, late_s, overdue):
    found = predict(SCRIPT, 0, (), now_s=now_s, deadband_s=3)
    assert (found.slip_s, found.late_s, found.overdue) == (0, late_s, overdue)


@pytest.mark.parametrize(
    ("spread", "deadband_s", "after_s"),
    [
        (10, 3, 20),
        (1, 3, 3),
        (None, 3, 3),
        (0, 3, 3),
        (10, 25, 25),
    ],  # the greater of the dead-band and two standard deviations
)
def test_overdue_by_more_than_dead_band_and_two_deviations(spread, deadband_s, after_s):
    """ANTHEM is expected 216 s after PARADE was heard, at 20."""
    script, heard = (Part("PARADE", 216, spread), ANTHEM), (Heard("PARADE", 20),)
    assert [
        predict(script, 0, heard, now_s=236 + after_s + s, deadband_s=deadband_s).overdue for s in (0, 0.5)
    ] == [(), ("ANTHEM",)]


def test_once_committed_the_dead_band_alone_counts():
    """ANTHEM is expected 216 s after PARADE, spread 10 s: overdue after 20 s while the flight holds, after
    the dead-band of 3 s once it has left."""
    script, heard = (Part("PARADE", 216, 10), ANTHEM), (Heard("PARADE", 0),)
    found = [
        predict(script, 0, heard, now_s=216 + s, deadband_s=3, committed=committed)
        for committed in (False, True)
        for s in (3, 4, 21)
    ]
    assert [(f.overdue, f.late_s) for f in found] == [
        ((), 0),
        ((), 0),
        (("ANTHEM",), 21),
        ((), 0),
        (("ANTHEM",), 4),
        (("ANTHEM",), 21),
    ]
    assert [(f.awaited, f.sure) for f in found] == 2 * [
        ((), False),
        (("ANTHEM",), False),
        (("ANTHEM",), True),
    ]


@pytest.mark.parametrize(
    ("tapped", "missing", "now_s", "overdue", "asked"),
    [  # ANTHEM at its 216: LINE2 is expected at 240, LINE4 at 286, dead-band 3 s
        ((), (), 243, (), ()),
        ((), (), 244, (), ("LINE2",)),
        ((), (), 290, (), ("LINE2", "LINE4")),
        ((), ("LINE2",), 243, (), ()),
        ((), ("LINE2",), 244, ("LINE2",), ()),
        ((), ("PARADE",), 244, (), ("LINE2",)),  # a cue that was not heard says nothing of marks
        ((("LINE2", 240),), (), 289, (), ()),
        ((("LINE2", 240),), (), 290, ("LINE4",), ()),
        ((("LINE4", 286),), (), 332, (), ()),
    ],
)
def test_a_mark_counts_as_a_cue_once_anybody_minds_marks(tapped, missing, now_s, overdue, asked):
    heard = (Heard("ANTHEM", 216), *(Heard(*note) for note in tapped))
    found = predict(SCRIPT, 0, heard, now_s=now_s, deadband_s=3, committed=True, missing=frozenset(missing))
    assert (found.overdue, found.asked) == (overdue, asked)


def test_a_mark_is_overdue_beyond_its_share_of_the_spread():
    """ANTHEM of 116 s with a spread of 10 s: LINE4, 70 s into it, spreads by 10 x 70 / 116 = 6.034 s, twice
    that after its 286. In the hold it is overdue by more than that; of a part that another follows nobody is
    asked about a mark."""
    script = (Part("ANTHEM", 116, 10, (("LINE4", 70),)),)
    found = [
        predict(script, 216, (Heard("ANTHEM", 216),), now_s=s, deadband_s=3, missing=frozenset({"LINE4"}))
        for s in (298.06, 298.07)
    ]
    assert [f.overdue for f in found] == [(), ("LINE4",)]
    longer = (*script, Part("MARCH", 60))
    assert predict(longer, 216, (Heard("ANTHEM", 216),), now_s=300, deadband_s=3).asked == ()


def test_a_mark_heard_and_a_part_between_make_the_deviation_of_a_cue():
    """WHEEL at its 100 s: pace's precision (216/10)^2 + 100^2 = 10466.56, the rest of PARADE 116 s:
    116/102.3062 = 1.13385 s. SPEECH with 4 s between: the root of 1.13385^2 + 16 is 4.15760, twice that
    8.3152 s after ANTHEM's 216 + 60."""
    script = (Part("PARADE", 216, 10, (("WHEEL", 100),)), Part("SPEECH", 60, 4), Part("ANTHEM", 116))
    heard = (Heard("PARADE", 0), Heard("WHEEL", 100))
    found = [predict(script, 0, heard, now_s=276 + s, deadband_s=3).overdue for s in (8.31, 8.32)]
    assert found == [("SPEECH",), ("SPEECH", "ANTHEM")]


def test_a_true_time_of_ones_own_moves_what_is_expected_and_hides_no_overdue_cue():
    """T 10 s later than the script's 332: ANTHEM, 216 s after PARADE on time, at 226, its marks with it,
    overdue after 226 + 20."""
    found = predict(SCRIPT, 0, (Heard("PARADE", 0),), now_s=247, deadband_s=3, own_target_s=342)
    assert (found.target_s, found.slip_s, found.deviation_s) == (342, 10, None)
    assert found.expected == (("ANTHEM", 226), ("LINE2", 250), ("LINE4", 296))
    assert (found.overdue, found.late_s) == (("ANTHEM",), 21)
    assert predict(SCRIPT, 0, (Heard("PARADE", 0),), now_s=246, deadband_s=3, own_target_s=342).overdue == ()


def test_planned_target():
    assert planned_target_s(SCRIPT, 30) == 30 + 216 + 116
