"""The rules on garment, one file each."""
