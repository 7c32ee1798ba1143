"""Cutting: the artwork separated per film, lettered, laid on sheets and written as files."""
