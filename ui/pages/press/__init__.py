"""The page at the press: one step at a time."""
