"""``briefgen schema``: the JSON Schema of the mission file."""

from __future__ import annotations

import click


@click.command("schema", short_help="Print the JSON Schema of the mission file.")
@click.option("--unit", is_flag=True, help="That of a unit's book, and of a mission that stands on one.")
def command(unit: bool) -> int:
    """Print the JSON Schema of the mission file, for editors that complete and check while one types."""
    from briefgen.console import put_bytes
    from briefgen.core import resources

    put_bytes(resources.schema_path(unit=unit).read_bytes())
    return 0
