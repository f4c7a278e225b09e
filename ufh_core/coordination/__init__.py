"""Clash and clearance: the finished heating against the building and other trades' models."""
