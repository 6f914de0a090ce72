"""What to do next: predicted times, what can be done now, and the best use of a few minutes.

From below: ``times`` predicts, ``work`` finds what can be done, ``choose`` picks what fits, ``forecast``
looks at all that is left. ``spare.py`` is the answer on top: it makes a plan for each person and offers it as
suggestions. Nothing here is worded: reasons are facts, and ``kiosk/views`` says them.
"""
