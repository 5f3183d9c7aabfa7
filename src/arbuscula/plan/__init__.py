"""Plan: advice arranged into rounds, and later into the year."""
