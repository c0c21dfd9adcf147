"""Walk a collector car from the first check to the ranked summary."""

__version__ = "0.1.0"
