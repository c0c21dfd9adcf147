"""What came out of a walk, as data and as text."""
