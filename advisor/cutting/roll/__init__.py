"""Roll: nests the cut pieces of a whole order on their rolls."""
