"""The page that asks which films can give a look."""
