"""Catalog: the library's files and the grower's own, read strictly into kinds."""
