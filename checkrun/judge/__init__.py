"""A reading becomes a judgement: limits, gaps, spread, marks, each computed and explained."""
