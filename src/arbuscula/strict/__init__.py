"""Strict: a file becomes kinds or columns, or every fault of it is named."""
