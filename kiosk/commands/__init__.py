"""The command line: one module a command, in the order of ``COMMAND_MODULES`` in ``command_line``."""

from kiosk.commands.command_line import main

__all__ = ["main"]
