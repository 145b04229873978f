"""What a template may do, slides and pages alike: choose, repeat and print what the program has finished;
nothing else.

Jinja's own sandbox keeps a template from the insides of Python. This one also keeps it from work without end:
no sums, no joining of texts, no lists of its own making, no calls but those of its macros and blocks, and an
account of every turn of a loop and every letter printed. A template that overdraws the account is stopped
with its file and line, within a second.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from jinja2 import StrictUndefined, TemplateSyntaxError, nodes
from jinja2.exceptions import SecurityError
from jinja2.runtime import BlockReference, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment

FILTERS = ("join", "first", "last", "length", "upper", "lower", "capitalize", "reverse")
# turns of loops, calls of macros and blocks, files included: a brief of eight ships takes a few thousand
MOST_STEPS = 100_000
MOST_LETTERS = 16_000_000  # printed by one template: the review page of a long brief has two million
MOST_FILE_BYTES = 256 * 1024  # of one template: the longest of the program's own has 10 kB
_LITERALS = (nodes.List, nodes.Tuple, nodes.Dict, nodes.Pair)
_FIXED = (nodes.Const, *_LITERALS)
_REPEATED = (nodes.Template, nodes.For, nodes.Macro, nodes.CallBlock, nodes.Block)
_ALONE = dict.fromkeys(
    (nodes.Include, nodes.Import, nodes.FromImport, nodes.Extends),
    "a slide's template stands alone: it includes, imports and extends nothing",
)


class Sandbox(ImmutableSandboxedEnvironment):
    """``finalize`` must call ``spend`` with the length of what it prints. An environment renders one template
    at a time: ``begin`` opens its account."""

    intercepted_binops = frozenset(ImmutableSandboxedEnvironment.default_binop_table)

    def __init__(self, **options: Any) -> None:
        # there are no sums to do beforehand
        options |= {
            "trim_blocks": True,
            "lstrip_blocks": True,
            "keep_trailing_newline": True,
            "optimized": False,
        }
        super().__init__(undefined=StrictUndefined, **options)
        known: dict[str, Callable[..., Any]] = {
            **self.filters,
            "join": _join,
            **{name: _of_text(self.filters[name]) for name in ("upper", "lower", "capitalize")},
        }
        self.filters = {name: known[name] for name in FILTERS}
        self.globals = {}
        self.begin()

    def begin(self) -> None:
        """A new account, for the next template."""
        self.steps = self.letters = 0

    def spend(self, letters: int) -> str:
        """So many letters are printed. SecurityError when the account is overdrawn."""
        self.letters += letters
        if self.letters > MOST_LETTERS:
            raise SecurityError(f"it prints more than {MOST_LETTERS} letters")
        return ""

    def step(self, letters: int) -> None:
        """One more turn of something that is repeated, with so many letters of its own."""
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise SecurityError(f"it repeats itself more than {MOST_STEPS} times")
        self.spend(letters)

    def getattr(self, obj: Any, attribute: str) -> Any:
        """Looks into mappings first: ``x.items`` is the key of that name, never a method."""
        if isinstance(obj, Mapping):
            return obj[attribute] if attribute in obj else self.undefined(obj=obj, name=attribute)
        return super().getattr(obj, attribute)

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        """Refuses every sum."""
        raise SecurityError(f"templates do no sums: {operator!r} is not for them")

    def call(__self, __context: Any, __obj: Any, *args: Any, **kwargs: Any) -> Any:
        """Calls the template's own macros and blocks, and nothing else."""
        if __obj == __self.step:
            return __obj(*args)  # Jinja adds the names of the loop around it
        if isinstance(__obj, (Macro, BlockReference)):
            return super().call(__context, __obj, *args, **kwargs)
        raise SecurityError("templates call nothing but their own macros")

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        if len(source) > MOST_FILE_BYTES:
            raise TemplateSyntaxError(
                f"the template has {len(source) // 1024} kB, the most is {MOST_FILE_BYTES // 1024} kB",
                1,
                name,
                filename,
            )
        tree = super()._parse(source, name, filename)
        faults: list[tuple[int, str]] = []
        _survey(tree, _ALONE if self.loader is None else {}, faults)
        for line, message in sorted(faults):
            raise TemplateSyntaxError(message, line, name, filename)
        return tree


def _survey(node: nodes.Node, alone: Mapping[type, str], faults: list[tuple[int, str]]) -> int:
    """One walk of a tree: what is forbidden goes to ``faults``, and what is repeated gets a call of ``step``
    with the letters that stand in its body, wherever in it. Returns the letters in this node."""
    kind = type(node)
    if kind is nodes.TemplateData:
        return len(node.data)
    if message := alone.get(kind):
        faults.append((node.lineno, message))
    elif kind is nodes.Concat:
        faults.append((node.lineno, "templates join no texts with ~: write them one after the other"))
    elif (
        kind in _LITERALS
        and getattr(node, "ctx", "load") == "load"
        and not all(type(part) in _FIXED for part in node.iter_child_nodes())
    ):
        faults.append((node.lineno, "templates make no lists of values: use those that the program gives"))
    letters = 0
    for child in node.iter_child_nodes():
        letters += _survey(child, alone, faults)
    if kind in _REPEATED:
        call = nodes.Call(nodes.EnvironmentAttribute("step"), [nodes.Const(letters)], [], None, None)
        node.body.insert(0, nodes.ExprStmt(call).set_lineno(node.lineno))
    return letters


def _join(values: Sequence[Any], d: str = "") -> str:
    """Finished texts in one, ``d`` between them."""
    texts = list(values) if isinstance(values, (list, tuple)) else [values]
    if not all(isinstance(text, str) for text in (d, *texts)):
        raise SecurityError("join is for lists of texts")
    if sum(len(text) + len(d) for text in texts) > MOST_LETTERS:
        raise SecurityError(f"join makes more than {MOST_LETTERS} letters")
    return d.join(texts)


def _of_text(change: Callable[[str], str]) -> Callable[[Any], str]:
    def changed(value: Any) -> str:
        if not isinstance(value, str):
            raise SecurityError("only a text has letters to change")
        return change(value)

    return changed
