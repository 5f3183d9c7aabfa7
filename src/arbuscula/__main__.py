"""Run with `python -m arbuscula`."""

from arbuscula.start import main

main()
