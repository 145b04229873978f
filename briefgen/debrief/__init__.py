"""Planned, told and flown: what the sortie's actual times and fuels say against its plan."""
