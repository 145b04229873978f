"""A plan as its products tell it: what several of them share is worked out once, by whichever asks first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from functools import cached_property
from typing import TYPE_CHECKING

from briefgen.core.context import Stamp
from briefgen.core.records import record
from briefgen.plan.sortie import Plan

if TYPE_CHECKING:
    from briefgen.brief.slides.pages import View
    from briefgen.whatif.answers import WhatIf


@record
class Brief:
    """``elsewhere`` waits for the what-ifs where somebody else works them out, and raises where nothing comes
    of it."""

    plan: Plan
    stamp: Stamp
    elsewhere: Callable[[], WhatIf] | None = field(default=None, compare=False)

    @cached_property
    def what_if(self) -> WhatIf:
        """The what-ifs that a brief tells."""
        from briefgen.whatif.answers import what_if
        from briefgen.whatif.cases import in_brief

        if self.elsewhere is not None:
            try:
                return self.elsewhere()
            except Exception:  # of whatever kind: a fault in the working out is met again below
                pass
        return what_if(self.plan, in_brief)

    @cached_property
    def bare_view(self) -> View:
        """All that slides and pages show, but the what-ifs."""
        from briefgen.brief.slides.view.view import make_view

        return make_view(self.plan, self.stamp)

    @cached_property
    def view(self) -> View:
        """The same with the what-ifs."""
        from briefgen.brief.slides.view.view import with_what_if
        from briefgen.brief.wording.whatif import lines_of, slide_lines

        return with_what_if(self.bare_view, self.plan, slide_lines(lines_of(self.what_if)))
