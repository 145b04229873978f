"""Which templates are not those that were approved: a unit's own may say other words for an abort than those
that the supervisor read."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.approval.bounds import Change
from briefgen.core.fingerprint import TemplateMarks


def other_templates(then: TemplateMarks | None, now: TemplateMarks) -> Iterator[Change]:
    """A sentence for each of the unit's own that differs, and one for the shipped ones together. ``then``:
    None in a record from before they were written down, which knows of none whether it is the same."""
    for name in sorted({*now.own, *(() if then is None else then.own)}):
        how = _how(name, then, now)
        if how:
            yield Change(f"template {name}: {how}")
    if then is not None and then.shipped != now.shipped:
        yield Change("the templates of the program are of another version")


def _how(name: str, then: TemplateMarks | None, now: TemplateMarks) -> str:
    if then is None:
        return "whether it is as approved isn't known"
    if name not in then.own:
        return "new since the approval"
    if name not in now.own:
        return "approved with it, not used now (--templates)"
    return "" if then.own[name] == now.own[name] else "changed since the approval"
