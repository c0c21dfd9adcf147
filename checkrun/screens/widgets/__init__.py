"""Widgets used by more than one screen."""
