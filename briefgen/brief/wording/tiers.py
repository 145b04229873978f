"""The unit's landing fuels and the reserve as the card has them: what is shown in another unit than it was
typed in stands with the typed figure beside it, once."""

from __future__ import annotations

from briefgen.brief.wording import format as words
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import FuelPlan, ShipFuel, Tier
from briefgen.units.values import Fuel


def base_words(fuel: FuelPlan, own: ShipFuel) -> str:
    """What a ship must have left at base: ``900 lb``, ``1550 lb, the alternate included``."""
    more = ", the alternate included" if fuel.alternate_required else ""
    return f"{words.fuel_figure(own.base_required, own.scale.unit)}{more}"


def tier_words(mission: Mission, own: ShipFuel, tier: Tier) -> str:
    """``900 lb``, ``34.2 L (9 US gal)``. Needs a tier that is given."""
    return _with_typed(
        tier.printed, own, getattr(mission.file.aircraft[mission.ship(own.ship).aircraft].tiers, tier.id)
    )


def reserve_words(mission: Mission, own: ShipFuel) -> str:
    """The same of the reserve, which may be a time: ``206.4 lb``, ``68.2 kg (150 lb)``."""
    return _with_typed(own.reserve.figure, own, mission.file.fuel.reserve)


def _with_typed(figure: float, own: ShipFuel, given: object) -> str:
    shown = words.fuel_figure(figure, own.scale.unit)
    return (
        f"{shown} ({words.fuel_figure(given.value, given.unit)})"
        if isinstance(given, Fuel) and given.unit != own.scale.unit
        else shown
    )
