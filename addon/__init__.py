"""The layer for a modelling host will stand here: it gathers the host's model, calls `ufh_core`, and shows.

It will compute nothing of its own. There is nothing in it yet.
"""
