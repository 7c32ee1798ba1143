"""*What to ask for it*: its page and its parts."""
