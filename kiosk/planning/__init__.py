"""What to do next: predicted times, what can be done now, and the best use of a few minutes."""
