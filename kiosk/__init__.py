"""A wall kiosk for people who build a light metal aeroplane at home."""

__version__ = "0.1.0"
