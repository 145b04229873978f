"""Frequencies, channels, telephone numbers, yes and no, counts and other small values from text."""

from __future__ import annotations

from typing import Literal

from briefgen.units.grammar import GAP, NUM, Grammar, Near, any_case, within
from briefgen.units.values import Channel, Frequency

_MHZ = any_case("MHz")
# Voice bands, MHz: 30-88 VHF FM, 108-137 VHF AM, 138-174 VHF, 225-400 UHF AM. Common practice, no source;
# bounds against slips of the keyboard.
VOICE_BANDS_MHZ = ((30.0, 88.0), (108.0, 137.0), (138.0, 174.0), (225.0, 400.0))

FREQUENCY = Grammar(
    "frequency",
    "a radio frequency",
    rf"(?P<mhz>[0-9]{{2,3}}\.[0-9]{{1,3}}){GAP}{_MHZ}",
    ("123.450 MHz", "340.800 MHz"),
    "a wrong digit is another station",
    near=(
        Near(r"(?P<n>[0-9]{2,3}\.[0-9]{1,3})", "it lacks its unit", ("{n} MHz",)),
        Near(r"(?P<a>[0-9]{3})(?P<b>[0-9]{1,3})(?: *MHz)?", "the point is missing", ("{a}.{b} MHz",)),
        Near(r"(?P<a>[0-9]{3}) *MHz", "the decimals are missing", ("{a}.000 MHz",)),
        Near(r"(?P<a>[0-9]{6}) *kHz", "frequencies are in MHz", lambda f: [f"{f['a'][:3]}.{f['a'][3:]} MHz"]),
        Near(r"(?P<n>[0-9]{3}\.[0-9]{3})[0-9]+(?: *MHz)?", "a channel has three decimals", ("{n} MHz",)),
    ),
    words=("MHz",),
)
_PRESET = "[1-9][0-9]{0,2}"
RADIO_CHOICE = Grammar(
    "radio-choice",
    "a preset or a frequency",
    rf"(?P<preset>{_PRESET})|(?:{FREQUENCY.pattern})",
    ("8", "340.800 MHz"),
    "it is the number of a preset, or a frequency with its unit",
    also=("integer",),
    near=(
        *FREQUENCY.near,
        Near(rf"(?:preset|channel|ch|button)\.? *(?P<n>{_PRESET})", "a preset is its number alone", ("{n}",)),
    ),
)

PHONE = Grammar(
    "phone",
    "a telephone number",
    r"\+?[0-9][0-9 ()/.-]{2,30}",
    ("+00 000 000",),
    "it has three digits or more, with spaces between and a plus before them",
    also=("integer",),
)

CHANNEL = Grammar(
    "channel",
    "an air-to-air TACAN channel",
    "(?P<number>[0-9]{1,3})(?P<band>[XY])",
    ("29Y", "92Y"),
    "X and Y are different frequencies",
    near=(
        Near(r"(?P<n>[0-9]{1,3})", "it lacks its band", ("{n}Y", "{n}X")),
        Near(
            r"(?:ch(?:annel)? *)?(?P<n>[0-9]{1,3}) *-?(?P<b>[xy])",
            "it is the number and a capital X or Y, together",
            lambda f: [f"{f['n']}{f['b'].upper()}"],
        ),
    ),
)

YES_NO = Grammar(
    "yes-no",
    "yes or no",
    "(?P<word>yes|no)",
    ("yes", "no"),
    "the words are yes and no",
    also=("boolean",),
    near=(
        Near(r"true|on|y|1|yes", "the words are yes and no, in small letters", ("yes",)),
        Near(r"false|off|n|0|no", "the words are yes and no, in small letters", ("no",)),
    ),
)
ALTERNATE = Grammar(
    "alternate-required",
    "yes, no or by weather",
    f"yes|no|by{GAP}weather",
    ("yes", "no", "by weather"),
    "an alternate is required, is not, or hangs on the forecast",
    near=(
        *YES_NO.near,
        Near(r"by *the *weather|by wx|weather|if .*", "it is written by weather", ("by weather",)),
    ),
    also=("boolean",),
)

COUNT = Grammar(
    "count",
    "a whole number",
    "(?P<n>[0-9]{1,6})",
    ("4", "2"),
    "it is counted, in plain digits",
    near=(
        Near(r"(?P<n>[0-9]{1,6})\.0+", "it is counted, in plain digits", ("{n}",)),
        Near(r"(?P<n>[0-9]{1,6}) *[a-z-]+", "a count has no unit", ("{n}",)),
        Near(
            r"(?P<w>one|two|three|four|five|six|seven|eight)",
            "a count is written in figures",
            lambda f: [
                str(
                    ("one", "two", "three", "four", "five", "six", "seven", "eight").index(f["w"].lower()) + 1
                )
            ],
        ),
    ),
    also=("integer",),
)
NUMBER = Grammar(
    "number",
    "a plain number",
    f"(?P<n>-?{NUM})",
    ("1.04",),
    "it has plain digits, a point between digits, and no unit",
    also=("number",),
)
FACTOR = Grammar(
    "factor",
    "a factor",
    f"(?P<n>{NUM})",
    ("1.04",),
    "it has plain digits, a point between digits, and no unit",
    also=("number",),
    near=(
        Near(
            rf"[+](?P<n>{NUM}) *%|(?P<m>{NUM}) *%",
            "a factor is 1 for no change",
            lambda f: [
                f"{1 + float(f['n']) / 100:g}"
                if f["n"]
                else f"{float(f['m']) / 100 if float(f['m']) >= 50 else 1 + float(f['m']) / 100:g}"
            ],
        ),
    ),
)
LIKELIHOOD = Grammar(
    "likelihood",
    "a grade from 1 to 5",
    "[1-5]",
    ("3",),
    "likelihood and severity go from 1, least, to 5, most",
    also=("integer",),
)
SQUAWK = Grammar(
    "squawk",
    "a transponder code",
    "[0-7]{4}",
    ("0401", "7000"),
    "it has four digits, each 0 to 7",
    also=("integer",),
    near=(
        Near(r"(?P<n>[0-7]{1,3})", "a leading zero may have been lost", lambda f: [f"{int(f['n']):04d}"]),
        Near(r"[0-9]*[89][0-9]*", "8 and 9 do not exist in a transponder code", advice="check the code"),
    ),
)


def parse_frequency(text: object) -> Frequency:
    """``123.450 MHz``, kept as text with three decimals, inside a voice band."""
    return _frequency(FREQUENCY, text, FREQUENCY.read(text)["mhz"])


def parse_radio_choice(text: object) -> Frequency | int:
    """The number of a preset (1 to 999), or a frequency."""
    found = RADIO_CHOICE.read(text)
    return int(found["preset"]) if found["preset"] else _frequency(RADIO_CHOICE, text, found["mhz"])


def parse_phone(text: object) -> str:
    """A telephone number, kept as typed."""
    return PHONE.read(text)[0]


def parse_channel(text: object) -> Channel:
    """``29Y``: 1 to 126, X or Y."""
    found = CHANNEL.read(text)
    number = int(within(CHANNEL, text, int(found["number"]), (1, 126), ""))
    return Channel(number, "X" if found["band"] == "X" else "Y")


def parse_yes_no(text: object) -> bool:
    """``yes`` or ``no``."""
    return YES_NO.read(text)["word"] == "yes"


def parse_alternate_required(text: object) -> Literal["yes", "no", "by weather"]:
    """``yes``, ``no`` or ``by weather``."""
    typed = ALTERNATE.read(text)[0]
    return "yes" if typed == "yes" else "no" if typed == "no" else "by weather"


def parse_count(text: object) -> int:
    """A whole number, not negative, at most 999999."""
    return int(COUNT.read(text)["n"])


def parse_number(text: object) -> float:
    """A plain number without unit."""
    return float(NUMBER.read(text)["n"]) + 0.0


def parse_burn_factor(text: object) -> float:
    """A factor on fuel burn, between 0.5 and 2 (our own bounds)."""
    return within(FACTOR, text, float(FACTOR.read(text)["n"]), (0.5, 2), "")


def parse_likelihood(text: object) -> int:
    """A grade from 1 to 5, of likelihood or severity."""
    return int(LIKELIHOOD.read(text)[0])


def parse_squawk(text: object) -> str:
    """Four digits 0 to 7, kept as text."""
    return SQUAWK.read(text)[0]


def _frequency(grammar: Grammar, text: object, typed: str) -> Frequency:
    mhz = float(typed)
    if not any(low <= mhz <= high for low, high in VOICE_BANDS_MHZ):
        bands = listed_bands()
        raise grammar.because(
            str(text), f"it lies outside the voice bands ({bands} MHz)", advice="check the digits"
        )
    whole, decimals = typed.split(".")
    return Frequency(f"{whole}.{decimals:0<3}", mhz)


def listed_bands() -> str:
    """The voice bands in words."""
    return ", ".join(f"{low:.0f} to {high:.0f}" for low, high in VOICE_BANDS_MHZ)
