"""The rules on stack, one file each."""
