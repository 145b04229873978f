"""Arguments and options that several commands have, worded once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Decorator = Callable[[Any], Any]


files = click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
json = click.option("--json", "as_json", is_flag=True, help="Print one JSON object for machines.")
json_or_list = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object for machines, a list for several."
)
replace = click.option(
    "--replace", is_flag=True, help="Replace the products of another mission, if the folder holds such."
)


def templates(what: str) -> Decorator:
    """``--templates``; ``what`` the unit's own ones do here."""
    return click.option(
        "--templates",
        type=click.Path(path_type=Path, exists=True, file_okay=False),
        help=f"The unit's own templates{what}",
    )
