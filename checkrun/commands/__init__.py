"""What each command does; `checkrun.cli` says how it is called."""
