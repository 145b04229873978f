"""The gates: one visible ordered list of small functions, each judging one thing of a sortie.

A gate function takes a ``Sortie`` and yields ``Gate`` records: none when the thing does not exist in this
mission, NOT CHECKED (with the reason) when its data are missing.
"""

from briefgen.plan.gates.table import GATES, judge, known_ids

__all__ = ["GATES", "judge", "known_ids"]
