"""``briefgen schema``: the JSON Schema of the mission file."""

from __future__ import annotations

import click


@click.command("schema", short_help="Print the JSON Schema of the mission file.")
def command() -> int:
    """Print the JSON Schema of the mission file, for editors that complete and check while one types."""
    from briefgen.commands.new import schema_text
    from briefgen.console import say

    say(schema_text().rstrip("\n"))
    return 0
