"""The command `schema`: the route format for editors, or as a guide for people."""

from __future__ import annotations

from checkrun.commands import Arguments
from checkrun.report.guide import guide, schema_text


def schema(args: Arguments) -> int:
    """Print the JSON Schema of route files, or the guide to the format."""
    print(guide() if args.guide else schema_text(), end="")
    return 0
