"""The rules on film on film, one file each."""
