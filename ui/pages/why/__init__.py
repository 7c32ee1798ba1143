"""The page of the rules, each with why and instead."""
