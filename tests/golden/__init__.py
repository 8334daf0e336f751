"""What Purlside said once and goes on saying: whole outputs, or what they hash to."""
