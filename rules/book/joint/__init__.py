"""The rules on joint, one file each."""
