"""Microclimate: from the place's weather to what this pot on this bench feels."""
