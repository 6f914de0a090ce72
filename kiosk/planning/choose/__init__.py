"""The exact choice of what to do in a slot, alone and with a helper.

Takes the options of each candidate as bare numbers (minutes, worth, set-ups, limits) and the minutes there
are; gives which option of which candidate to take. It knows no parts, no steps and no people.
"""
