"""The order that a person has open: its record, its files, and how it is kept."""
