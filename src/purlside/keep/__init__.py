"""What is kept on disk, and a plan in hand."""
