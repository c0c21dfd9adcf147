"""What each command does; `checkrun.arguments` says how it is called."""

from types import SimpleNamespace as Arguments

__all__ = ["Arguments"]
