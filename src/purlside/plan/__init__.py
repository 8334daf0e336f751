"""What is wanted, as plain values."""
