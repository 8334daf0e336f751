"""The calls, heard."""
