"""What can be done now, by whom, in which ways, and what each is worth.

Takes a moment at the bench, the minutes there are and the learnt times; gives the candidates with their
options, and what cannot be begun with the reason. It chooses nothing.
"""
