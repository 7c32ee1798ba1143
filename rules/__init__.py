"""What Presslore knows: facts, catalogue and the book of rules."""
