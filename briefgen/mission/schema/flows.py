"""Fuel flow as the file gives it: one flow, or a table by altitude."""

from __future__ import annotations

from briefgen.core.records import record
from briefgen.units.values import FuelFlow, Level


@record
class FlowRow:
    """A flow at one level. ``level`` is None for the only row of a flow that holds at every altitude."""

    level: Level | None
    flow: FuelFlow


@record
class FlowTable:
    """Rows from the lowest to the highest."""

    rows: tuple[FlowRow, ...]

    def lb_h(self, altitude_ft: float | None, density_kg_per_l: float | None = None) -> float:
        """Pounds per hour at ``altitude_ft`` (ft MSL; a flight level counts as its feet): linear between
        rows, held outside them (``covers`` tells).  Without an altitude: the greatest of the rows, the safe
        side."""
        flows = [row.flow.lb_h(density_kg_per_l) for row in self.rows]
        if len(self.rows) == 1:
            return flows[0]
        if altitude_ft is None:
            return max(flows)
        heights = [row.level.feet for row in self.rows if row.level is not None]
        for low, high, flow_low, flow_high in zip(heights, heights[1:], flows, flows[1:], strict=False):
            if low <= altitude_ft <= high:
                return flow_low + (flow_high - flow_low) * (altitude_ft - low) / (high - low)
        return flows[0] if altitude_ft < heights[0] else flows[-1]

    def covers(self, altitude_ft: float) -> bool:
        """True when ``altitude_ft`` lies between the lowest and the highest row, or one flow holds
        everywhere."""
        first, last = self.rows[0].level, self.rows[-1].level
        return first is None or last is None or first.feet <= altitude_ft <= last.feet
