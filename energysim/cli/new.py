"""`energysim new` (being laid)."""

import typer


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
