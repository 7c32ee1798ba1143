"""The rules on film on fabric, one file each."""
