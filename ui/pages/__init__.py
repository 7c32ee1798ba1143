"""Pages: a folder for each question."""
