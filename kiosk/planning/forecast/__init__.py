"""What is left to do, when it may be finished, and how past forecasts did.

Takes everything still to do, the learnt times and the minutes of past weeks; gives hours and dates with their
chances. It does not ask what can be done tonight.
"""
