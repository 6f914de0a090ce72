"""Bench arithmetic. Pure functions, no input or output, nothing imported from the rest of the kiosk."""
