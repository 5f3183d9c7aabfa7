"""Kernel: the reference's own text, compiled for lanes side by side."""
