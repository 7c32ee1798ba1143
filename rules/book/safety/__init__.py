"""The rules on safety, one file each."""
