"""What a host may be given beside the pages: header files, and texts packed ahead."""

import gzip
from pathlib import Path
from typing import Any

import brotli
import pytest
from anthocard.engine.results import Computed
from anthocard.press.build.plan import publish
from anthocard.press.data.hosting import PACKED, Hosting, header_files


@pytest.mark.parametrize(
    ("address", "below"),
    [(None, ""), ("https://menu.example/", ""), ("https://bar.example/menu/", "/menu")],
)
def test_headers_hold_below_the_address(address: str | None, below: str) -> None:
    """Every path is told from the root of the host; assets alone are kept for good."""
    files = header_files(address, "404.html")
    lines = files["_headers"].splitlines()
    paths = [line for line in lines if line.startswith("/")]
    assert paths == [f"{below}/*", f"{below}/assets/*"]
    assert "  Content-Security-Policy: frame-ancestors 'none'" in lines
    first, last = lines.index(paths[0]), lines.index(paths[1])
    assert lines.index("  Cache-Control: no-cache") in range(first, last)
    assert "immutable" in lines[-1]
    assert f"ErrorDocument 404 {below}/404.html" in files[".htaccess"]
    assert "ErrorDocument" not in header_files(address, "")[".htaccess"]


def test_nothing_is_added_unasked(
    collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """No header file and no packed one."""
    publish(collection, computed, tmp_path / "out", papers=False)
    names = {path.name for path in (tmp_path / "out").rglob("*")}
    assert not names & {"_headers", ".htaccess"}
    assert not [name for name in names if name.endswith((".gz", ".br"))]


def test_texts_are_packed_ahead_on_request(
    collection: Any, computed: dict[str, Computed], tmp_path: Path
) -> None:
    """Unpacked each is the file beside it; a part made anew without packing leaves none behind
    that a host would go on serving.
    """
    out = tmp_path / "out"
    done = publish(collection, computed, out, papers=False, hosting=Hosting(True, True)).written
    texts = [path for path in out.glob("*/**/*") if path.name.endswith(PACKED)]
    assert texts
    for path in texts:
        content = path.read_bytes()
        assert gzip.decompress(path.with_name(f"{path.name}.gz").read_bytes()) == content
        assert brotli.decompress(path.with_name(f"{path.name}.br").read_bytes()) == content
    assert out / "guest/_headers" in done
    assert {out / "staff/.htaccess", out / "guest/index.html.br"} <= set(done)
    publish(collection, computed, out, papers=False, only=lambda path: path == "guest/index.html")
    assert not list((out / "guest").rglob("*.br"))
    assert (out / "guest/drinks").is_dir()
