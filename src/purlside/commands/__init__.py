"""The command line, thin."""
