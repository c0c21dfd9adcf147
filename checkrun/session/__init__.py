"""A session: one car, one walk, one file. Events in, state out."""
