"""What is the shop's own: its shelf, kept in one store, and what it asks for an order."""
