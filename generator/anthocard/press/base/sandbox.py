"""Where a theme's templates are run.

Belongs here: what a template may do, and that each is compiled once. Does not belong here: which
templates there are, what is put into them (theme.py); time and memory (guard/limits.py).
"""

from __future__ import annotations

from types import CodeType
from typing import Any, Final

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from jinja2.exceptions import SecurityError
from jinja2.sandbox import SandboxedEnvironment

MOST_REPEATED = 100_000  # what `*` may make of a text or list, as jinja2 limits range(); chosen


class _CompiledTemplates(BytecodeCache):
    """Templates compiled by this process, by file and text: each language has an environment of
    its own, and a theme may be found again. Nothing is written.
    """

    def __init__(self) -> None:
        self._code: dict[str, tuple[str, CodeType]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give a template the code of the same text, where there is some."""
        checksum, code = self._code.get(bucket.key, ("", None))
        if checksum == bucket.checksum:
            bucket.code = code

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep the code of a template, in place of that of another text of the same file."""
        if bucket.code is not None:
            self._code[bucket.key] = bucket.checksum, bucket.code


_COMPILED: Final = _CompiledTemplates()


class Sandbox(SandboxedEnvironment):
    """Where a template is run: no way to anything of ours, and no text out of all proportion."""

    intercepted_binops = frozenset({"*", "**"})

    def __init__(self, **settings: Any) -> None:
        super().__init__(bytecode_cache=_COMPILED, **settings)
        del self.globals["lipsum"]  # as much text as one asks for

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        """Multiply and raise, within bounds."""
        sizes = [len(side) if hasattr(side, "__len__") else abs(side) for side in (left, right)]
        texts = any(hasattr(side, "__len__") for side in (left, right))
        if (texts and sizes[0] * sizes[1] > MOST_REPEATED) or (operator == "**" and sizes[1] > 64):
            raise SecurityError(f"“{operator}” makes too much of it")
        return super().call_binop(context, operator, left, right)
