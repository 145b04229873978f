"""The passes of a sortie together, whether one or several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import Words


def passes_values(w: Words, of_each: Sequence[Mapping[str, Any]], *, several: bool) -> dict[str, Any]:
    """``several``: whether there is more than one pass. ``passes``: how many (``count``), over what
    (``over``), their times (``times``), and as ``list`` of each its ``name`` and all the groups as that pass
    sees them; ``events``: the first of each event. Without a pass both lists are empty."""
    ids = [each.section.event.id for each in w.plan.passes]
    return {
        "several": several,
        "passes": {
            "count": words.counted(len(of_each), "pass", "passes") if several else "one pass",
            "over": words.listed(dict.fromkeys(each.centre.name for each in w.plan.passes)),
            "times": words.listed(w.z(each.true_time) for each in w.plan.passes),
            "list": list(of_each),
            "events": [of_each[ids.index(id)] for id in dict.fromkeys(ids)],
        },
    }
