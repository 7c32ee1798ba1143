"""Heat: layers, conduction, a walk through the steps, and what follows for every bond line."""
