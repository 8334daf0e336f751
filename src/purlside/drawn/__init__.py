"""The bed drawn in lanes and letters: text and tones, no screen."""
