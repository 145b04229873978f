"""The one place where numbers are rounded and worded for readers.

Every function rounds once and splits afterwards, so that 59.6 s carries into the minute and 59.96 minutes
into the degree. Halves go away from zero. What a pilot could type into a mission file is worded so that the
file's reader takes it back: ``parse(format(x)) == x`` to the printed digit. Instants are aware datetimes; all
else is plain numbers whose unit is in the name.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Literal

from briefgen.units.rounding import decimals, down, nearest, typed
from briefgen.units.values import (
    NM_PER_M,
    AngleReference,
    CloudLayer,
    Direction,
    Frequency,
    FuelUnit,
    Level,
    LevelBand,
    Pressure,
    Speed,
    SpeedKind,
    Visibility,
    Wind,
)  # fmt: skip

# strftime would follow the machine's locale
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
EACH_DATED = date.max  # as ``day``: every time has its date, none its year
SURE_OF_THE_YEAR = timedelta(days=90)  # from a date with its year: our default, no source
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


# --- clocks
def clock_z(instant: datetime, *, day: date | None = None, seconds: bool = True) -> str:
    """``03:30:02 Z``. ``day`` is the UTC date the reader takes for granted: any other date is printed,
    ``31 Jan 00:10:00 Z``, with its year where that may be another."""
    return f"{_clock(instant, UTC, seconds, day)} Z"


def dated_z(instant: datetime) -> str:
    """``30 Jan 2027 03:30:02 Z``: with its whole date, where no day is taken for granted."""
    return f"{day(_date(instant, UTC, seconds=True))} {clock_z(instant)}"


def clock_typed(instant: datetime, *, day: date) -> str:
    """The same as it may be typed: ``2027-01-31 00:10:00 Z``."""
    on = _date(instant, UTC, seconds=True)
    return f"{'' if on == day else f'{on} '}{clock_z(instant)}"


def clock_local(instant: datetime, zone: tzinfo, *, day: date | None = None, seconds: bool = True) -> str:
    """``14:00:02 ACDT (+10:30)``; a zone whose abbreviation is only a number prints the offset alone. ``day``
    as in clock_z, by the local date."""
    return f"{_clock(instant, zone, seconds, day)} {zone_words(instant, zone)}"


def clock_both(instant: datetime, zone: tzinfo, *, seconds: bool = True) -> str:
    """``03:30:02 Z, 14:00:02 ACDT (+10:30)``; both dates are printed where they differ. One clock where the
    zone is UTC itself."""
    if keeps_utc(instant, zone):
        return clock_z(instant, seconds=seconds)
    dates = [_date(instant, each, seconds) for each in (UTC, zone)]
    usual = reversed(dates) if dates[0] != dates[1] else dates  # each beside the date of the other
    zulu, local = (_clock(instant, each, seconds, day) for each, day in zip((UTC, zone), usual, strict=True))
    return f"{zulu} Z, {local} {zone_words(instant, zone)}"


def clock_bare(
    instant: datetime, zone: tzinfo = UTC, *, day: date | None = None, seconds: bool = True
) -> str:
    """``03:30:02`` without its clock: only for columns whose heading names the clock (see zone_words).
    ``day`` as in clock_z, by the zone's date."""
    return _clock(instant, zone, seconds, day)


def clock_hour(instant: datetime) -> str:
    """``03:``: the hour by Zulu, for the head of a column of `clock_minute`."""
    return f"{rounded_instant(instant).hour:02d}:"


def clock_minute(instant: datetime) -> str:
    """``30:02``: minutes and seconds of a time by Zulu whose hour stands in the head of its column."""
    at = rounded_instant(instant)
    return f"{at.minute:02d}:{at.second:02d}"


def keeps_utc(instant: datetime, zone: tzinfo) -> bool:
    """Whether a zone is UTC itself then, not only on its offset: London in winter is not."""
    local = instant.astimezone(zone)
    return not local.utcoffset() and local.tzname() == UTC.tzname(None)


def zone_words(instant: datetime, zone: tzinfo) -> str:
    """``ACDT (+10:30)``, or ``(+03:00)`` where the zone has no letters of its own; ``Z`` for UTC itself."""
    letters, offset = zone_letters(instant, zone), _offset(instant.astimezone(zone))
    return letters if letters == offset or keeps_utc(instant, zone) else f"{letters} {offset}"


def zone_letters(instant: datetime, zone: tzinfo) -> str:
    """``ACDT`` alone, for narrow places of a page that has the offset elsewhere; ``(+03:00)`` where the zone
    has no letters of its own; ``Z``."""
    if keeps_utc(instant, zone):
        return "Z"
    local = instant.astimezone(zone)
    name = local.tzname() or ""
    return name if name.isalpha() else _offset(local)


def _offset(local: datetime) -> str:
    """``(+10:30)``: hours and minutes east of UTC."""
    minutes = round((local.utcoffset() or timedelta()).total_seconds() / 60)
    return f"({'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d})"


def window_z(
    start: datetime, end: datetime, *, day: date | None = None, seconds: bool = False, bare: bool = False
) -> str:
    """``03:45 to 04:20 Z``; with the date where it isn't ``day``, and with both where they differ from each
    other. ``bare``: without the last Z, for a column whose heading has it."""
    first, last = _date(start, UTC, seconds), _date(end, UTC, seconds)
    begins, ends = (_bare(instant, UTC, seconds) for instant in (start, end))
    usual = day or first
    if first != last:
        begins, ends = f"{_day_beside(first, usual)} {begins} Z", f"{_day_beside(last, usual)} {ends}"
    elif first != usual:
        begins = f"{_day_beside(first, usual)} {begins}"
    return f"{begins} to {ends}{'' if bare else ' Z'}"


def hours_z(
    start: datetime, end: datetime, *, day: date | None = None, seconds: bool = False, bare: bool = False
) -> str:
    """The same for hours that something may be used in (a reservation, opening hours, a forecast): never
    printed wider than they are."""
    return window_z(
        time_limit(start, "earliest", seconds=seconds),
        time_limit(end, "latest", seconds=seconds),
        day=day,
        seconds=seconds,
        bare=bare,
    )


def rounded_instant(instant: datetime, *, seconds: bool = True) -> datetime:
    """The nearest whole second (or minute) in UTC, halves up."""
    utc = instant.astimezone(UTC)
    if seconds:
        return (utc + timedelta(milliseconds=500)).replace(microsecond=0)
    return (utc + timedelta(seconds=30)).replace(second=0, microsecond=0)


def time_limit(instant: datetime, side: Literal["latest", "earliest"], *, seconds: bool = True) -> datetime:
    """The one rounding of every time limit, in every medium, toward the safe side: a latest moment (told by,
    END BY, go home) down, an earliest moment (no T before) up, to the whole second, or to the minute. A
    microsecond off a whole second is that second.

    The ground contact's clock page rounds alike in ``timeLimit`` of render/html/clock_words.js.
    """
    step, near = timedelta(seconds=1 if seconds else 60), timedelta(microseconds=1)
    utc = instant.astimezone(UTC)
    day = utc.replace(hour=0, minute=0, second=0, microsecond=0)
    return day + step * ((utc - day + near) // step if side == "latest" else -((day - utc + near) // step))


def day(value: date, *, year: bool = True) -> str:
    """``30 Jan 2027``; ``30 Jan`` beside a date that has the year."""
    return f"{value.day} {_MONTHS[value.month - 1]}{f' {value.year}' if year else ''}"


def weekday(value: date) -> str:
    """``Sat 30 Jan 2027``."""
    return f"{_DAYS[value.weekday()]} {day(value)}"


def _clock(instant: datetime, zone: tzinfo, seconds: bool, usual: date | None) -> str:
    """The time, before it the date that is not the ``usual`` one; None: without one."""
    time, on = _bare(instant, zone, seconds), _date(instant, zone, seconds)
    return time if usual in (None, on) else f"{_day_beside(on, usual)} {time}"


def _bare(instant: datetime, zone: tzinfo, seconds: bool) -> str:
    local = rounded_instant(instant, seconds=seconds).astimezone(zone)
    return f"{local.hour:02d}:{local.minute:02d}" + (f":{local.second:02d}" if seconds else "")


def _day_beside(on: date, usual: date) -> str:
    """``31 Jan``, with the year where the usual date is so far off that it may be another."""
    return day(on, year=usual != EACH_DATED and abs(on - usual) > SURE_OF_THE_YEAR)


def _date(instant: datetime, zone: tzinfo, seconds: bool) -> date:
    return rounded_instant(instant, seconds=seconds).astimezone(zone).date()


def between_s(start: datetime, end: datetime) -> float:
    """Whole seconds from one instant to another as both are printed, so that a length beside them adds up:
    the instants are rounded, the length is not."""
    return (rounded_instant(end) - rounded_instant(start)).total_seconds()


# --- spans of time
def duration(seconds: float) -> str:
    """``2 h 15 min``, ``1 min 30 s``, ``45 s``, ``0 s``; whole seconds; a minus where it is negative. Parts
    that are zero are left out."""
    whole = int(nearest(seconds))
    minutes, s = divmod(abs(whole), 60)
    h, m = divmod(minutes, 60)
    parts = [f"{n} {unit}" for n, unit in ((h, "h"), (m, "min"), (s, "s")) if n]
    if h and s and not m:
        parts.insert(1, "0 min")
    return ("-" if whole < 0 else "") + (" ".join(parts) or "0 s")


def duration_minutes(seconds: float) -> str:
    """``135 min``, the nearest whole minute."""
    return f"{decimals(seconds / 60)} min"


def duration_clock(seconds: float) -> str:
    """``9:00``, ``1:02:05``: minutes and seconds (hours before them where there are any), for columns whose
    heading says so."""
    whole = int(nearest(seconds))
    minutes, s = divmod(abs(whole), 60)
    h, m = divmod(minutes, 60)
    return ("-" if whole < 0 else "") + (f"{h}:{m:02d}:{s:02d}" if h else f"{m}:{s:02d}")


def signed_seconds(seconds: float, places: int = 0) -> str:
    """``+15 s``, ``-10 s``, ``0 s``: late is plus."""
    text = decimals(seconds, places)
    return f"{'+' if text[0] != '-' and any(digit in '123456789' for digit in text) else ''}{text} s"


def seconds_exact(seconds: float, places: int = 1) -> str:
    """``2.6 s``: a standard deviation, an error of hearing."""
    return f"{decimals(seconds, places)} s"


def seconds_bare(seconds: float, places: int = 0) -> str:
    """``10``, ``2.1`` for a column that says so."""
    return decimals(seconds, places)


def signed_duration(seconds: float) -> str:
    """``+2 min``, ``-1 min 30 s``, ``0 s``."""
    return f"+{duration(seconds)}" if nearest(seconds) > 0 else duration(seconds)


def t_offset(seconds: float) -> str:
    """``T-30 s``, ``T+3 min``, ``T``."""
    return f"T{signed_duration(seconds)}" if nearest(seconds) else "T"


# --- angles and places
def heading(deg: float, reference: AngleReference) -> str:
    """``052 T``: three digits, 000 to 359, so 359.6 is ``000 T``."""
    return f"{int(nearest(deg)) % 360:03d} {reference}"


def direction(value: Direction) -> str:
    """``052 T``, see heading."""
    return heading(value.deg, value.reference)


def wind(value: Wind) -> str:
    """``230T/20kt``, ``230T/12G22kt``; below half a knot ``calm``."""
    knots = decimals(value.kt) + (f"G{decimals(value.gust_kt)}" if value.gust_kt is not None else "")
    from_deg = int(nearest(value.direction.deg)) % 360
    return "calm" if knots == "0" else f"{from_deg:03d}{value.direction.reference}/{knots}kt"


def latitude(deg: float) -> str:
    """``37°41'S`` beside a line of a map."""
    return _degrees_minutes(deg, 2, ("N", "S"))


def meridian(deg: float) -> str:
    """``140°30'E`` beside a line of a map; the one between east and west has no letter: ``180°00'``. From
    -540 to 540 degrees."""
    east = (deg + 180.0) % 360.0 - 180.0
    between = nearest(abs(east) * 60) == 180 * 60
    return _degrees_minutes(east, 3, ("", "") if between else ("E", "W"))


def angle(deg: float) -> str:
    """``30 deg``."""
    return f"{decimals(deg)} deg"


def sun_height(deg: float) -> str:
    """``30 deg``; ``-0.6 deg`` near the horizon, where a degree tells nothing: the sun rises and sets at
    -0.83."""
    return f"{decimals(deg, 1)} deg" if -0.9 <= deg <= 1.0 else angle(deg)


def _degrees_minutes(deg: float, width: int, letters: tuple[str, str]) -> str:
    parts = int(nearest(abs(deg) * 60))  # before it is split, so that minutes never read 60
    return f"{parts // 60:0{width}d}°{parts % 60:02d}'{letters[1] if deg < 0 and parts else letters[0]}"


# --- heights, lengths, speeds
def level(value: Level) -> str:
    """``1500 ft MSL``, ``1000 ft AGL``, ``FL240``."""
    if value.datum == "FL":
        return f"FL{int(nearest(value.feet / 100)):03d}"
    return f"{decimals(value.feet)} ft {value.datum}"


def level_band(value: LevelBand) -> str:
    """``10000 to 14000 ft MSL``, ``5000 ft MSL to FL260``."""
    if value.low.datum == value.high.datum != "FL":
        return f"{decimals(value.low.feet)} to {level(value.high)}"
    return f"{level(value.low)} to {level(value.high)}"


def height(feet: float) -> str:
    """``1000 ft``: a difference of heights, a spacing, a runway."""
    return f"{decimals(feet)} ft"


def height_bare(feet: float) -> str:
    """``1000`` for a column headed ft."""
    return decimals(feet)


def cloud(value: CloudLayer) -> str:
    """``SCT 4500 ft AGL``, ``FEW 3000 ft MSL top 4500 ft MSL``, ``BKN 2000 ft AGL CB``."""
    kind, top = f" {value.kind}" if value.kind else "", f" top {level(value.top)}" if value.top else ""
    return f"{value.amount} {level(value.base)}{kind}{top}"


def distance(nm: float, places: int = 1) -> str:
    """``6.9 nm``."""
    return f"{decimals(nm, places)} nm"


def distance_bare(nm: float, places: int = 1) -> str:
    """``6.9`` for a column headed nm."""
    return decimals(nm, places)


def visibility(value: Visibility) -> str:
    """``5 SM`` as typed; metric and nautical ones ``10 km``, in metres below 5 km, to the hundred downwards,
    because less must never read as more."""
    if value.unit == "SM":
        return f"{typed(value.value)} SM"
    metres = value.nm / NM_PER_M
    if down(metres) >= 5000:
        return f"{decimals(down(metres, 1000) / 1000)} km"
    return f"{decimals(down(metres, 100))} m"


def speed(value: Speed) -> str:
    """``360 KTAS``, ``M0.80``."""
    return mach(value.value) if value.kind == "MACH" else speed_kt(value.value, value.kind)


def speed_kt(kt: float, kind: SpeedKind) -> str:
    """``300 KGS``: whole knots with their kind."""
    return f"{decimals(kt)} {kind}"


def knots(kt: float) -> str:
    """``20 kt``: a wind, a crosswind, a difference of speeds."""
    return f"{decimals(kt)} kt"


def knots_bare(kt: float) -> str:
    """``300`` for a column whose heading names the speed."""
    return decimals(kt)


def mach(value: float) -> str:
    """``M0.80``."""
    return f"M{decimals(value, 2)}"


def acceleration(kt_s: float) -> str:
    """``2.5 kt/s``."""
    return f"{decimals(kt_s, 1)} kt/s"


# --- fuel
def fuel_number(amount: float) -> str:
    """``1320``, ``96.4``, ``72.5``: a printed figure (they are rounded in plan/fuel/rounding.py) or a limit
    as typed."""
    return typed(amount)


def fuel_in_column(amount: float, step: float) -> str:
    """The same in a column whose heading has the unit, with the decimals of its step even where they are
    zero: ``229.0`` under ``251.5``."""
    shown, places = fuel_number(amount), len(typed(step).partition(".")[2])
    whole, _, fraction = shown.partition(".")
    return f"{whole}.{fraction:0<{places}}" if places else shown


def signed_fuel(amount: float) -> str:
    """``+120``, ``-30.5``, ``0``: more is plus."""
    return f"+{fuel_number(amount)}" if amount > 0 else fuel_number(amount)


def fuel_figure(amount: float, unit: FuelUnit) -> str:
    """The same with its unit: ``1320 lb``, ``72.5 kg``."""
    return f"{fuel_number(amount)} {unit}"


# --- weather and radio
def temperature(deg_c: float) -> str:
    """``-16 C``."""
    return f"{decimals(deg_c)} C"


def pressure(value: Pressure) -> str:
    """``1017 hPa``; ``29.80 inHg / 1009 hPa`` where it was typed in inches. Rounded down as a setting is: a
    lower one shows the aircraft lower than it is."""
    hpa = f"{decimals(down(value.hpa))} hPa"
    return f"{decimals(down(value.value, 0.01), 2)} inHg / {hpa}" if value.unit == "inHg" else hpa


def frequency(value: Frequency) -> str:
    """``123.450 MHz``, the digits as typed."""
    return f"{value.text} MHz"


# --- plain words
def percent(fraction: float) -> str:
    """``12 %`` of 0.12."""
    return f"{decimals(fraction * 100)} %"


def factor(value: float) -> str:
    """``1.04``: a burn factor as it may be written in the file."""
    return decimals(value, 2)


def yes_no(value: bool) -> str:
    """``yes`` or ``no``."""
    return "yes" if value else "no"


def counted(count: int, singular: str, plural: str | None = None) -> str:
    """``1 ship``, ``4 ships``."""
    return f"{count} {singular if count == 1 else plural or singular + 's'}"


def listed(items: Iterable[str], last: str = "and") -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    words = list(items)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else ""
