"""One loop of pipe that fills one territory: lattices, rings, meanders, rated and checked."""
