"""Places for manifolds, and the tails of a level from their ports to the territories."""
