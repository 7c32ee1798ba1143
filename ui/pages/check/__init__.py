"""The page that asks whether a stack is risky."""
