"""How the tables of the shop's store came about, a step at a time."""
