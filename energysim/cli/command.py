"""
A command that says in our own words what is wrong with its options, and that it was stopped.

Depends on: typer, pydantic's errors.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any, Final

import typer
from typer.core import TyperCommand

from energysim.cli import EXIT_INTERRUPTED, STOPPED

if TYPE_CHECKING:
    from collections.abc import Mapping

NOT_A: Final = {
    "int_parsing": "is not a whole number",
    "int_from_float": "is not a whole number",
    "float_parsing": "is not a number",
    "bool_parsing": "is neither true nor false",
}
"""Reasons by the kind of the error."""

LIMITS: Final = {
    "greater_than_equal": ("ge", "is less than the least allowed,"),
    "less_than_equal": ("le", "is more than the most allowed,"),
    "greater_than": ("gt", "must be more than"),
    "less_than": ("lt", "must be less than"),
}


class Command(TyperCommand):
    """A command that rewords what the validation of its options says, and ends at Ctrl-C."""

    def invoke(self, ctx: Any) -> Any:
        """Run it, and say so where it is stopped."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            print(STOPPED, file=sys.stderr)
            raise typer.Exit(EXIT_INTERRUPTED) from None

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the command line; a refused value is told in our words."""
        try:
            return super().parse_args(ctx, args)
        except typer.BadParameter as error:
            from pydantic_core import ValidationError

            if isinstance(error.__cause__, ValidationError):
                error.message = in_words(error.__cause__.errors(include_url=False)[0])
            raise


def in_words(error: Mapping[str, Any]) -> str:
    """
    Return one error of the validation library in plain words.

    Examples
    --------
    >>> in_words({"type": "int_parsing", "input": "two"})
    "'two' is not a whole number"
    >>> in_words({"type": "value_error", "msg": "Value error, 'si' is not one of 'us'."})
    "'si' is not one of 'us'"
    """
    kind, value, context = error["type"], error.get("input"), error.get("ctx", {})
    if kind in NOT_A:
        return f"{value!r} {NOT_A[kind]}"
    if kind in LIMITS:
        name, reason = LIMITS[kind]
        return f"{value} {reason} {context[name]:g}"
    text = str(error["msg"]).removeprefix("Value error, ").removesuffix(".")
    return text.replace("Input should be", "must be", 1)
