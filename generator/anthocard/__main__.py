"""Lets `python -m anthocard` do what the command does."""

import sys

from anthocard.cli import main

sys.exit(main())
