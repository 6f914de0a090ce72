"""The exact choice of what to do in a slot, alone and with a helper."""
