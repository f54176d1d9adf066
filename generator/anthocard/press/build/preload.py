"""Everything a first paper would have to load: what processes that set papers are copied from.

Belongs here: loading it, and clearing up after whoever they work for. `pool` of worker.py names
this module to Python's fork server, which imports a module by its name and does no more with it; so
this one, alone here, does something when it is imported. What goes wrong is left for the first
paper to say.

The server ends after all others: when its main process has ended, however, and every worker. What
that one, killed, could not remove (passing files, half a build beside `out`) goes then.
"""

from __future__ import annotations

import atexit
import gc
import os
from contextlib import suppress

from anthocard.disk.scratch import PASSING, leavings
from anthocard.disk.swap import mend_all
from anthocard.press.paper.job import Job
from anthocard.press.paper.typeset import set_type

#: Something of all that is slow the first time: faces, a table, a drawing, a colour that runs.
_SAMPLE = """<!doctype html><html lang="en"><title>a</title>
<style>b { font-weight: 600 } p { font-variant-numeric: tabular-nums lining-nums }</style>
<p style="font-family: 'Fira Sans'">1 <b>2</b> <i>a</i></p>
<p style="font-family: Spectral">1 <b>2</b> <i>a</i></p>
<table><tr><td style="background: linear-gradient(red, blue)">f</td></tr></table>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><defs><linearGradient id="g"><stop
offset="0" stop-color="red"/></linearGradient></defs><rect width="9" height="9" fill="url(#g)"/>
<text y="9">h</text></svg>"""


def _clear_up() -> None:
    with suppress(OSError):  # there is no such folder: nobody died
        mend_all(leavings(os.environ[PASSING]))


if os.environ.get(PASSING):
    atexit.register(_clear_up)
set_type(Job(_SAMPLE, ""))
gc.freeze()  # all of it stays: no process need look for rubbish in it, and copy it by doing so
