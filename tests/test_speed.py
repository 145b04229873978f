"""The program starts, checks and builds in the time that a person waits."""

from __future__ import annotations

import re

import pytest

from tests.command_line import start

# Seconds of computing, both cores added; one of three tries has to keep within them. Wanted are 0.3, 1.0, 0.6 and a build in 3 s on two cores, which is
# 6 s of computing. Measured, on two cores whose speed changes by half: 0.06 to 0.11, 0.45 to 0.7, 0.32 to 0.55, and 2.5 to 3.1 for the build, which
# then takes 1.4 to 1.8 s by the clock.
SPEED = [
    (["--help"], 0.3),
    (["check", "good.yaml"], 1.0),
    (["check", "zoned.yaml"], 0.6),
    (["build", "good.yaml"], 6.0),
]


BUSY = 1.5  # other work on the same cores slows computing too; this test is there to catch a heavy import or a slow loop, not to measure


@pytest.mark.slow
@pytest.mark.parametrize(("arguments", "limit_s"), SPEED)
def test_it_is_quick(python, clean_environment, here, arguments, limit_s):
    resource = pytest.importorskip("resource")
    (here / "zoned.yaml").write_text(with_zones((here / "good.yaml").read_text(encoding="utf-8")), encoding="utf-8")

    def seconds() -> float:
        began = resource.getrusage(resource.RUSAGE_CHILDREN)
        assert start(python, clean_environment, here, *arguments).returncode == 0
        ended = resource.getrusage(resource.RUSAGE_CHILDREN)
        return ended.ru_utime + ended.ru_stime - began.ru_utime - began.ru_stime

    assert any(seconds() < limit_s * BUSY for _ in range(3))


def with_zones(text: str) -> str:
    """The regatta with its zones given by hand: nothing is left to look up."""
    for place, zone in {"NORTHBOURNE": "Australia/Adelaide", "PONTOON": "Australia/Melbourne", "EASTLEA": "Australia/Melbourne", "HARTWELL": "Australia/Melbourne"}.items():
        text = re.sub(rf"^(  {place}:) *\n", rf"\1\n    time_zone: {zone}\n", text, flags=re.M)
        text = re.sub(rf"^(  {place}: \{{)(?=.*position)", rf"\1time_zone: {zone}, ", text, flags=re.M)
    return text
