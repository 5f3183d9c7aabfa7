"""Web: pages for one hand, each with its twin as data, out of the same answer."""
