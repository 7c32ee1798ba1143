"""Nest: parts laid on the roll, and the film that an order needs."""
