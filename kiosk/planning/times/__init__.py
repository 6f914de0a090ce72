"""Learnt times: how long a piece, a set-up and putting away take, with their chances."""
