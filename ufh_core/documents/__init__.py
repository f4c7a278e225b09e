"""What people read: the plan of a storey as one neutral drawing, and the summary of a design.

Import from the modules: a list for the site must not wait for the drawing library.
"""
