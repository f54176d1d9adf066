"""Lets `python -m generator` do what the command does."""

import sys

from generator.cli import main

sys.exit(main())
