"""The site pack: what goes to site as one PDF and one page, made of the same chapters."""
