"""The least change that works is printed on the side on which it works, and never as none at all."""

from briefgen.airmath.run_in import PushTrouble
from briefgen.plan.event.pass_chain import problem_in_words


def test_least_changes_are_rounded_to_the_side_on_which_they_work():
    """0.04 nm and 271.2 kt are at least 0.1 nm and 272 kt, 2.01 kt/s at least 2.1; a bias of 4.96 s at most
    4.9, one of 5.0 is 5."""
    told = problem_in_words(PushTrouble("run-in too short", 6.0, 0.04, 271.2, 2.01, 4.96))

    assert told.endswith(
        "an IP 0.1 nm further out, a push-up to 272 kt over the ground, an acceleration of 2.1 kt/s,"
        " a late bias of at most 4.9 s"
    )
    assert problem_in_words(PushTrouble("cap too low", 6.0, None, None, None, 5.0)).endswith("at most 5 s")
