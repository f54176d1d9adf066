"""Lets `python -m anthocard` do what the command does."""

import sys

from anthocard.cli import program

sys.exit(program())
