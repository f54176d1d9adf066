"""Our own frozen values as Python writes them down, and a reader that knows nothing else.

Belongs here: what may come back out of a pickle. Does not belong here: where it lies (cache.py), or
what is kept (recall.py).
"""

from __future__ import annotations

import io
import pickle
from typing import Any, Final


def written(value: Any) -> bytes:
    """Values of our own types as bytes, for this user's own folder."""
    return pickle.dumps(value, protocol=5)


def read(content: bytes) -> Any:
    """The values again; raises UnpicklingError for any other type, and much else for rubbish."""
    return _Reader(io.BytesIO(content)).load()


class _Reader(pickle.Unpickler):
    """Our own types, dates and arrays of numbers: whatever else stands there is refused."""

    _OTHERS: Final = {
        ("builtins", "frozenset"), ("builtins", "set"),
        ("datetime", "date"),
        ("numpy", "dtype"), ("numpy", "ndarray"),
        ("numpy._core.multiarray", "_reconstruct"), ("numpy.core.multiarray", "_reconstruct"),
        ("numpy._core.multiarray", "scalar"), ("numpy.core.multiarray", "scalar"),
        ("numpy._core.numeric", "_frombuffer"), ("numpy.core.numeric", "_frombuffer"),
    }  # fmt: skip

    def find_class(self, module: str, name: str) -> Any:
        found = super().find_class(module, name) if module.startswith("anthocard.") else None
        if isinstance(found, type):
            return found
        if (module, name) in self._OTHERS:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} has no place here")
