"""`bay doctor`: what works here, what does not, and the exact command that mends it."""
