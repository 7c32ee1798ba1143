"""The rules on what the eye sees of a print from above, one file each."""
