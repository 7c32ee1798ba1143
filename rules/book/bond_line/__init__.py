"""The rules on bond line, one file each."""
