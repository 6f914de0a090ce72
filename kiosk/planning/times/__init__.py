"""Learnt times: how long a piece, a set-up and putting away take, with their chances.

Takes the shop's estimates and the times in the record; gives predicted times with their spread, and the
chance that several of them fit in so many minutes. It knows nothing of what can be done.
"""
