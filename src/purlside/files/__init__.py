"""Plan files: read, refused, written."""
