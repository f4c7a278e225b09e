"""One storey from heat demand to valve settings: the rooms before it, called in turn until they agree."""
