"""What the results add up to."""
