"""The rules on schedule, one file each."""
