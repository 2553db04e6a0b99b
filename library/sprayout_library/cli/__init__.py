"""The command line: one command, one file, loaded only when it is asked for."""
