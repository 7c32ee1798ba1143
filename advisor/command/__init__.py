"""The commands of the command line, one file for each; loaded when they are called."""
