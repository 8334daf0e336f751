"""What is shown, as values; no screen."""
