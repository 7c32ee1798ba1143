"""The rules on what the artwork draws and a film cannot show, one file each."""
