"""Water: what leaves and open surface ask for, and what the pot can give."""
