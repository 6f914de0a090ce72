"""What is left to do, when it may be finished, and how past forecasts did."""
