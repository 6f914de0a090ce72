"""What can be done now, in which shapes, and what each is worth."""
