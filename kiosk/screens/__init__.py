"""The wall screen. Screens show views and pass taps to the bench; they hold no rules."""
