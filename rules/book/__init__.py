"""The rules on everything judged, one file each."""
