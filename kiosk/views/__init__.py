"""What a screen or a command shows, as plain data made from the shop, the record and the time."""
