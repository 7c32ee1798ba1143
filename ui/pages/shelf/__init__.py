"""The page of the shelf: films, fabrics, garments, presses and sheets."""
