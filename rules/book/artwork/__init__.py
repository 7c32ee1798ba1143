"""The rules on artwork, one file each."""
