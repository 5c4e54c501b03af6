"""``python -m slipwright.cli``."""

from slipwright.cli import main

main()
