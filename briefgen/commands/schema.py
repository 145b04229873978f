"""``briefgen schema``: the JSON Schema of the mission file."""

from __future__ import annotations

import click


@click.command("schema", short_help="Print the JSON Schema of the mission file.")
def command() -> int:
    """Print the JSON Schema of the mission file, for editors that complete and check while one types."""
    from briefgen.console import put_bytes
    from briefgen.core import resources

    put_bytes(resources.schema_path().read_bytes())
    return 0
