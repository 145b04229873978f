"""A QNH that its neighbours contradict: PONTOON is 35.6 nm from Eastlea, where 3 + 0.08 x 35.6 = 5.8 hPa are
believed (gate_rows_more.py)."""

from __future__ import annotations

from tests.plan.gates.gate_reading import gates


def test_the_odd_one_is_named_and_the_bound_is_said_to_be_our_own():
    gate = gates("regatta", (("weather.at.PONTOON.qnh", "1047 hPa"),))["qnh-agrees"]
    assert (gate.verdict, gate.value, round(gate.limit, 1)) == ("CAUTION", 30.0, 5.8)
    assert "1047.0 hPa at PONTOON, 1017.0 hPa at EASTLEA, 36 nm away" in gate.title
    assert gate.cause == ("weather", "at", "PONTOON", "qnh") and gate.basis[0] == "default"
    assert "30 ft of height" in gate.why


def test_one_qnh_alone_has_nothing_to_agree_with():
    edits = tuple((f"weather.at.{place}.qnh", "") for place in ("NORTHBOURNE", "EASTLEA", "HARTWELL"))
    assert "qnh-agrees" not in gates("regatta", edits)
