"""Plans from strangers: damaged, generated and adversarial files, text that would be more than text, disks that fail."""
