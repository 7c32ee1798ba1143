"""Heat: conduction through a stack, and what it asks of tacks, waits and full presses."""
