"""Answers: look, plan, check and why; here the wings meet."""
