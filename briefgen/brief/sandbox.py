"""What a template may do, slides and pages alike: choose, repeat and print what the program has finished; nothing else.

Jinja's own sandbox keeps a template from the insides of Python. This one also keeps it from work without end: no sums, no joining of texts, no lists of
its own making, no calls but those of its macros and blocks, and an account of every turn of a loop and every letter printed. A template
that overdraws the account is stopped with its file and line, within a second.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from jinja2 import StrictUndefined, TemplateSyntaxError, nodes
from jinja2.runtime import BlockReference, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment, SecurityError

from briefgen.brief.render_text import FILTERS

MOST_STEPS = 100_000  # turns of loops, calls of macros and blocks, files included: a brief of eight ships takes a few thousand
MOST_LETTERS = 16_000_000  # printed by one template: the review page of a long brief has two million
MOST_FILE_BYTES = 256 * 1024  # of one template: the longest of the program's own has 10 kB
_LITERALS = (nodes.List, nodes.Tuple, nodes.Dict)
_REPEATED = (nodes.Template, nodes.For, nodes.Macro, nodes.CallBlock, nodes.Block)


class Sandbox(ImmutableSandboxedEnvironment):
    """``finalize`` must call ``spend`` with the length of what it prints. An environment renders one template at a time: ``begin`` opens its account."""

    intercepted_binops = frozenset(ImmutableSandboxedEnvironment.default_binop_table)

    def __init__(self, **options: Any) -> None:
        super().__init__(undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True, **options)
        known: dict[str, Callable[..., Any]] = {**self.filters, "join": _join, **{name: _of_text(self.filters[name]) for name in ("upper", "lower", "capitalize")}}
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

    def call(__self, __context: Any, __obj: Any, *args: Any, **kwargs: Any) -> Any:  # noqa: N805, as Jinja's own
        """Calls the template's own macros and blocks, and nothing else."""
        if __obj == __self.step:
            return __obj(*args)  # Jinja adds the names of the loop around it
        if isinstance(__obj, (Macro, BlockReference)):
            return super().call(__context, __obj, *args, **kwargs)
        raise SecurityError("templates call nothing but their own macros")

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        if len(source) > MOST_FILE_BYTES:
            raise TemplateSyntaxError(f"the template has {len(source) // 1024} kB, the most is {MOST_FILE_BYTES // 1024} kB", 1, name, filename)
        tree = super()._parse(source, name, filename)
        for message, line in (*_forbidden(tree), *(_reaching(tree) if self.loader is None else ())):
            raise TemplateSyntaxError(message, line, name, filename)
        for node in (tree, *tree.find_all(_REPEATED)):
            node.body.insert(0, _stepping(node))
        return tree


def _forbidden(tree: nodes.Template) -> Iterator[tuple[str, int]]:
    for node in tree.find_all(nodes.Concat):
        yield "templates join no texts with ~: write them one after the other", node.lineno
    for node in tree.find_all(_LITERALS):
        if getattr(node, "ctx", "load") == "load" and not all(isinstance(part, (nodes.Const, *_LITERALS)) for part in node.find_all(nodes.Expr)):
            yield "templates make no lists of values: use those that the program gives", node.lineno


def _reaching(tree: nodes.Template) -> Iterator[tuple[str, int]]:
    for node in tree.find_all((nodes.Include, nodes.Import, nodes.FromImport, nodes.Extends)):
        yield "a slide's template stands alone: it includes, imports and extends nothing", node.lineno


def _stepping(node: nodes.Node) -> nodes.ExprStmt:
    """A call of ``step`` with the letters that stand in this body, wherever in it."""
    letters = sum(len(data.data) for data in node.find_all(nodes.TemplateData))
    call = nodes.Call(nodes.EnvironmentAttribute("step"), [nodes.Const(letters)], [], None, None)
    return nodes.ExprStmt(call).set_lineno(node.lineno)


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
