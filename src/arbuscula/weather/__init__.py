"""Weather: what stations, forecasts and the years tell of a place."""
