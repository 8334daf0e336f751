"""A plan being designed, without a screen."""
