"""The command line: the only place that reads the terminal and prints."""
