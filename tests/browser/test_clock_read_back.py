"""What is waited for on the ground contact's clock: a read-back has a last moment, and one that comes
after it is no new time.

missions/regatta.yaml, T 2 min later: worked again it can be read back until 03:26:21, as ``retime --slip 120
--now "03:20:00 Z"`` prints it; ``--told 120 "03:28:25 Z"`` is refused as one that could not be met.
"""

from __future__ import annotations

import pytest

from tests.browser.phone import Phone, hacked, moved, z

pytestmark = pytest.mark.browser
ASKED = (
    "GANNET, PIER. Can you accept a change of true time? Old true time: zero three three zero zero two Zulu."
    " New true time: zero three three two zero two Zulu. Read back true time, or say unable."
)


@pytest.fixture
def told(phone: Phone) -> Phone:
    """Two minutes later, said and not read back."""
    hacked(phone)
    phone.at(z("03:20:00"))
    moved(phone, 120)
    phone.tap("said")
    return phone


@pytest.fixture
def late(told: Phone) -> Phone:
    """Read back at 03:28:25, PARADE as late as T."""
    told.at(z("03:26:30"))
    told.cue("PARADE")
    told.at(z("03:28:25"))
    told.tap("readback")
    return told


def test_a_read_back_is_waited_for_until_its_last_moment(told):
    for at in ("03:20:00", "03:26:21"):
        told.at(z(at))
        assert (told.text("kind"), told.text("kind-by")) == ("WAIT FOR READ-BACK", "read back by 03:26:21 Z")
        assert told.text("until") == "Read back by 03:26:21 Z: later it counts as not told."


def test_past_it_the_verdict_is_as_if_it_was_not_read_back(told):
    """T is a lap and more away: UNABLE, in the hold with the price of a lap."""
    told.at(z("03:26:22"))
    assert told.text("kind") == "UNABLE" and told.text("say").startswith("GANNET, PIER. Ceremony two minutes")
    assert told.text("warnings").startswith("Not read back by 03:26:21 Z: it counts as not told.")
    assert "The flight holds 03:30:02 Z." in told.text("told")
    told.tap("notread")
    assert told.text("warnings") == "" and told.text("kind") == "UNABLE"


def test_read_back_too_late_it_is_asked_and_holds_no_new_time(late):
    assert (late.text("kind"), late.text("say")) == ("ASK THE FLIGHT", ASKED)
    assert "The flight holds 03:30:02 Z." in late.text("told")
    assert late.text("warnings").startswith("Read back after the last moment")
    late.tap("said")
    assert late.text("kind-by") == "read back by 03:29:32 Z"  # no time is told later than T - 30 s
    late.at(z("03:28:40"))
    late.tap("readback")
    assert "The flight holds 03:32:02 Z." in late.text("told") and late.text("warnings") == ""


def test_a_flight_that_does_not_fly_it_holds_the_old_time(late):
    late.tap("said")
    late.at(z("03:28:40"))
    late.tap("notread")
    assert late.text("kind") == "UNABLE" and "The flight holds 03:30:02 Z." in late.text("told")


def test_not_answered_in_time_nothing_is_told_any_more(late):
    """Said at 03:29:23 it would be read back after T - 30 s."""
    late.at(z("03:29:23"))
    assert late.text("kind") == "TOO LATE TO TELL A TIME"


def test_an_earlier_t_that_is_asked_is_read_back_before_its_own_abort_only_time(phone):
    """10 s earlier is T 03:29:52, asked 10 s more 03:29:42: nothing is told of it later than 30 s before."""
    hacked(phone)
    for cue, at in (("PARADE", "03:24:30"), ("ANTHEM", "03:28:06")):
        phone.at(z(at))
        phone.cue(cue)
    phone.at(z("03:28:08"))
    moved(phone, -10)
    phone.tap("said")
    phone.at(z("03:28:18"))
    phone.tap("readback")
    phone.at(z("03:28:24"))
    moved(phone, -10)
    assert phone.text("kind") == "ASK THE FLIGHT"
    phone.tap("said")
    assert phone.text("kind-by") == "read back by 03:29:12 Z"
