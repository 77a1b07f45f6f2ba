"""One module for each command; part of the command line's layer."""
