"""preview: loopback only, the page follows the file, mistakes stand on the last good page."""

from __future__ import annotations

import http.client
import re
import shutil
import signal
import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from anthocard.press.base import theme
from anthocard.press.paper.job import HERE
from anthocard.press.server import server as server_module
from anthocard.press.server.desk import Desk, Showing, bare, dressed, page_of
from anthocard.press.server.server import Server

from tests.benchmarks.houses import make_house
from tests.commands.conftest import COMMAND, environment
from tests.patience import HUNG_S


@dataclass
class Preview:
    """A running preview of a house."""

    process: subprocess.Popen[str]
    port: int
    house: Path

    def ask(
        self, path: str, host: str | None = None, method: str = "GET", origin: str | None = None
    ) -> tuple[int, str]:
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=HUNG_S)
        link.putrequest(method, path, skip_host=True)
        link.putheader("Host", host or f"127.0.0.1:{self.port}")
        if origin is not None:
            link.putheader("Origin", origin)
        link.endheaders()
        answer = link.getresponse()
        moved = answer.getheader("Location") or ""
        return answer.status, moved or answer.read().decode("utf-8", "replace")

    def next_event(self, since: int) -> threading.Event:
        """Set as soon as the preview announces something newer than `since`."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=HUNG_S)
        link.request("GET", f"/preview/events?since={since}")
        stream = link.getresponse()
        heard = threading.Event()

        def listen() -> None:
            while not heard.is_set():
                if stream.fp is None or stream.fp.readline().startswith(b"data:"):
                    heard.set()

        threading.Thread(target=listen, daemon=True).start()
        return heard

    def write(self, name: str, old: str, new: str) -> None:
        path = self.house / name
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    def until(self, path: str, words: str, seconds: float = HUNG_S) -> str:
        """The page, once it holds some words."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            page = self.ask(path)[1]
            if words in page:
                return page
            time.sleep(0.03)
        raise AssertionError(f"never seen on {path}: {words}")


@pytest.fixture(scope="module")
def preview(begun: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Preview]:
    """One for all tests that ask it something: what one of them writes no other reads."""
    bar = shutil.copytree(begun / "bar", tmp_path_factory.mktemp("previewed") / "bar")
    process = subprocess.Popen(
        [*COMMAND, "preview", "--house", str(bar), "--port", "0"], env=environment(),
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    told = ""
    for line in process.stdout:
        told += line
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", line)
        if found:
            break
    else:
        raise AssertionError(told)
    yield Preview(process, int(found[1]), bar)
    process.send_signal(signal.SIGINT)
    assert process.wait(HUNG_S) == 0
    process.stdout.close()


def test_a_save_shows_on_the_page(preview: Preview) -> None:
    """The event comes, the page holds the new words, and the script that waits is in it."""
    page = preview.ask("/staff/first-light.html")[1]
    number = re.search(r'<script src="/preview/follow.js" data-number="(\d+)">', page)
    assert number is not None
    heard = preview.next_event(int(number[1]))
    preview.write("drinks/first-light.md", "Blue, until you pour.", "Blue as ink.")
    assert heard.wait(HUNG_S)
    assert preview.until("/staff/first-light.html", "Blue as ink.")  # or it was read half written
    assert "Blue as ink." in preview.until("/guest/index.html", "Blue as ink.")


def test_mistakes_stand_on_the_last_good_page(preview: Preview) -> None:
    """The excerpt and the mend above the drink as it was; gone again once it is mended."""
    preview.write("drinks/first-light.md", "50 ml blue gin", "50 mll blue gin")
    page = preview.until(
        "/staff/first-light.html", "50 mll blue gin"
    )  # or it was read half written
    assert "There are mistakes" in page
    assert "did you mean “ml”?" in page
    assert "First Light</h1>" in page
    preview.write("drinks/first-light.md", "50 mll blue gin", "45 ml blue gin")
    mended = preview.until("/staff/first-light.html", ">45<")
    assert "There are mistakes" not in mended


def test_a_template_without_end_is_stopped(bar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page of a theme that loops says so after the time a template has; the others come, and
    saves are followed."""
    monkeypatch.setattr(theme, "most_of", lambda section, row: {"time": 1}.get(row, 1000))
    own = bar / "themes" / "loop"
    own.mkdir(parents=True)
    loop = "{% for a in range(99999) %}{% for b in range(99999) %}{% set c = b %}{% endfor %}{% endfor %}"
    (own / "menu.html").write_text(loop, encoding="utf-8")
    desk = Desk(bar, "loop")
    desk.refresh()
    server = Server(desk, 0)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    answers: dict[str, tuple[int, str]] = {}

    def ask(path: str) -> None:
        link = http.client.HTTPConnection("127.0.0.1", server.server_address[1], timeout=HUNG_S)
        link.request("GET", path)
        answer = link.getresponse()
        answers[path] = answer.status, answer.read().decode()

    paths = ("/guest/index.html", "/staff/first-light.html")
    asking = [threading.Thread(target=ask, args=(path,)) for path in paths]
    for thread in asking:
        thread.start()
    end = time.monotonic() + HUNG_S
    while len(answers) < 2 and time.monotonic() < end:
        server.work(0.05)
    for thread in asking:
        thread.join(30)
    server.shutdown()
    server.server_close()
    status, said = answers["/guest/index.html"]
    assert status == 500
    assert "it was not done after" in said
    status, said = answers["/staff/first-light.html"]
    assert status == 200
    assert "First Light</h1>" in said


def test_only_its_own_name_is_answered(preview: Preview) -> None:
    """A page of the wide web that points its name at loopback is told 421 and shown nothing."""
    for host in ("evil.example", f"evil.example:{preview.port}", "127.0.0.1", "127.0.0.1:1", ""):
        status, said = preview.ask("/staff/first-light.html", host or " ")
        assert status == 421, host
        assert "First Light" not in said
    for host in (f"localhost:{preview.port}", f"[::1]:{preview.port}"):
        assert preview.ask("/staff/first-light.html", host)[0] == 200


def test_only_its_own_pages_may_ask(preview: Preview) -> None:
    """A request that another page sends to the right name (Origin says so) is refused as well."""
    page, host = "/staff/first-light.html", f"127.0.0.1:{preview.port}"
    for origin in ("https://evil.example", "null", "http://127.0.0.1:1", f"https://{host}", ""):
        status, said = preview.ask(page, origin=origin)
        assert status == 421, origin
        assert "First Light" not in said
    assert preview.ask(page, origin=f"http://{host}")[0] == 200


def test_nothing_but_loopback_listens(preview: Preview) -> None:
    """The port is closed on every other address of this machine."""
    others = {
        info[4][0]
        for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        if not str(info[4][0]).startswith("127.")
    }
    for address in others:
        with socket.socket() as knock:
            knock.settimeout(2)
            assert knock.connect_ex((str(address), preview.port)) != 0
    listening = Path("/proc/net/tcp")
    if listening.exists():
        port = f":{preview.port:04X}"
        heard = {x.split()[1] for x in listening.read_text().splitlines() if f"{port} " in x}
        assert f"0100007F{port}" in heard
        assert f"00000000{port}" not in heard


def test_it_opens_where_the_last_edit_was(preview: Preview) -> None:
    """The bare address leads to the page of the file that was written last."""
    preview.write("drinks/slow-morning.md", "The tonic does", "Tonic does")
    preview.until("/staff/slow-morning.html", "Tonic does")
    assert preview.ask("/") == (302, "/staff/slow-morning.html")
    preview.write("menus/tonight.md", "Both of them turn", "They turn")
    preview.until("/guest/index.html", "They turn")
    assert preview.ask("/") == (302, "/guest/index.html")


def test_nothing_on_the_disk_is_served(preview: Preview) -> None:
    """Only pages held in memory have an address; nothing is written beside the house either."""
    before = sorted(path for path in preview.house.parent.rglob("*"))
    for path in ("/house.yaml", "/../bar/house.yaml", "/staff/../../bar/house.yaml", "/%2e%2e/x"):
        assert preview.ask(path)[0] == 404, path
    assert preview.ask("/staff/first-light.html", method="POST")[0] == 501
    assert sorted(path for path in preview.house.parent.rglob("*")) == before


def spoil(page: Path, old: str, new: str) -> str:
    """Change a file; returns what stood there."""
    text = page.read_text(encoding="utf-8")
    assert old in text
    page.write_text(text.replace(old, new), encoding="utf-8")
    return text


def shown(desk: Desk, path: str) -> str:
    return HERE.now(HERE.get(desk.showing.pages[path])).decode()


@pytest.mark.parametrize(
    ("old", "new"),
    [("50 ml", "50 mll"), ("amount: 7.5 ml", "until: pH 1.2"), ("kind: drink", "kind: [")],
)
def test_a_house_that_is_broken_from_the_start(bar: Path, old: str, new: str) -> None:
    """One drink that cannot be read, or not be worked out: it has no page yet, all others have, and
    follow what is written; then it has one as well."""
    page = bar / "drinks" / "first-light.md"
    text = spoil(page, old, new)
    desk = Desk(bar, "base")
    assert desk.refresh().ok is False
    assert "staff/first-light.html" not in desk.showing.pages
    assert "Slow Morning</h1>" in shown(desk, "staff/slow-morning.html")
    assert "guest/index.html" in desk.showing.pages
    assert "There are mistakes" in dressed(shown(desk, "staff/slow-morning.html"), desk.showing)
    spoil(bar / "drinks" / "slow-morning.md", "The tonic does", "Tonic does")
    assert desk.refresh(desk.changed()).ok is False
    assert "Tonic does" in shown(desk, "staff/slow-morning.html")
    page.write_text(text, encoding="utf-8")
    assert desk.refresh(desk.changed()).ok is True
    assert desk.showing.where == "staff/first-light.html"
    assert "First Light</h1>" in shown(desk, "staff/first-light.html")


def test_what_is_doubtful_stands_behind_what_is_wrong(bar: Path) -> None:
    """On any page the panel is English, declared so, and open with the mistakes alone."""
    spoil(bar / "drinks" / "slow-morning.md", "10 ml", "10 mll")
    desk = Desk(bar, "base")
    desk.refresh()
    panel = dressed(shown(desk, "staff/first-light.html"), desk.showing).split("</section>")[0]
    panel = panel.split('<section id="preview"')[1]
    assert 'lang="en"' in panel
    wrong, _, doubtful = panel.partition("<details>")
    assert wrong.count("<pre>") == 1
    assert "“mll” is not a unit" in wrong
    assert doubtful.count("<pre>") == doubtful.count("Look: ") >= 1


def test_others_go_on_while_one_is_broken(bar: Path) -> None:
    """The broken one and the lists stay as they last worked; another drink is as it is now."""
    desk = Desk(bar, "base")
    desk.refresh()
    spoil(bar / "drinks" / "first-light.md", "50 ml", "50 mll")
    spoil(bar / "drinks" / "slow-morning.md", "The tonic does", "Tonic does")
    assert desk.refresh(desk.changed()).ok is False
    assert "First Light</h1>" in shown(desk, "staff/first-light.html")
    assert "First Light" in shown(desk, "staff/index.html")
    assert "First Light" in shown(desk, "guest/index.html")
    assert "Tonic does" in shown(desk, "staff/slow-morning.html")


@pytest.mark.parametrize("file", ["house.yaml", "stock.yaml"])
@pytest.mark.parametrize("new", ["- a list", "name: [", ""])
def test_the_house_itself_is_broken(bar: Path, file: str, new: str) -> None:
    """Then nothing can be worked out: the last good pages stay; from the start the panel says what
    is wrong. An empty stock.yaml is none."""
    if (file, new) == ("stock.yaml", ""):
        return
    desk = Desk(bar, "base")
    desk.refresh()
    good = desk.showing.pages
    text = (bar / file).read_text(encoding="utf-8")
    (bar / file).write_text(new, encoding="utf-8")
    assert desk.refresh(desk.changed()).ok is False
    assert desk.showing.pages == good
    assert file in str(desk.showing.mistakes[0])
    late = Desk(bar, "base")
    assert late.refresh().ok is False
    assert late.showing.pages == {}
    assert f"bar/{file}" in bare(late.showing, "There is nothing to show yet.")
    (bar / file).write_text(text, encoding="utf-8")
    assert late.refresh(late.changed()).ok is True


@pytest.mark.parametrize(
    "row", ["{of: sharp acid, ph: 99, measured: 2026-01-02}", "{of: sharp acid"]
)
def test_a_row_of_the_house_is_broken(bar: Path, row: str) -> None:
    """From the start: what the reading is of has no page, nor what is made of it; all else has."""
    rows = f"calibrations:\n  - {row}\n"
    spoil(bar / "house.yaml", "glasses:\n", f"{rows}glasses:\n")
    desk = Desk(bar, "base")
    assert desk.refresh().ok is False
    gone = {"staff/first-light.html", "staff/sharp-acid.html"}
    assert gone.isdisjoint(desk.showing.pages)
    assert "bar/house.yaml" in dressed(shown(desk, "staff/slow-morning.html"), desk.showing)
    (bar / "house.yaml").write_text(
        (bar / "house.yaml").read_text(encoding="utf-8").replace(rows, ""), encoding="utf-8"
    )
    assert desk.refresh(desk.changed()).ok is True
    assert gone <= desk.showing.pages.keys()


def test_only_what_changed_is_worked_out_again(bar: Path) -> None:
    """New words in one drink leave the others' figures the very same objects; a new dose of the
    infusion under both leaves none.
    """
    desk = Desk(bar, "base")
    desk.refresh()
    first = dict(desk._computed)
    page = bar / "drinks" / "first-light.md"
    page.write_text(page.read_text(encoding="utf-8").replace("Blue, until", "Blue till"), "utf-8")
    desk.refresh(desk.changed())
    kept = {slug for slug, one in desk._computed.items() if one is first[slug]}
    assert kept == set(first) - {"first-light"}
    assert "Blue till" in desk._computed["first-light"].recipe.guest_text
    gin = bar / "infusions" / "blue-gin.md"
    gin.write_text(
        gin.read_text(encoding="utf-8").replace("2.5 g per", "3 g per"), encoding="utf-8"
    )
    desk.refresh(desk.changed())
    assert not {slug for slug, one in desk._computed.items() if one is first[slug]}


def test_the_desk_says_what_a_fresh_run_says(bar: Path) -> None:
    """After edits the kept figures are those that a new desk works out."""
    desk = Desk(bar, "base")
    desk.refresh()
    for old, new in (("amount: 7.5 ml", "amount: 8.5 ml"), ("price: 12", "price: 13")):
        page = bar / "drinks" / "first-light.md"
        page.write_text(page.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
        desk.refresh(desk.changed())
    fresh = Desk(bar, "base")
    fresh.refresh()
    assert {s: c.edition for s, c in desk._computed.items()} == {
        s: c.edition for s, c in fresh._computed.items()
    }
    assert desk.showing.mistakes == fresh.showing.mistakes


def test_a_text_change_costs_a_fraction_of_the_house(tmp_path: Path) -> None:
    """In a house of a dozen recipes, warm: reading, wording and the page together, the best of
    five, against working all of it out in the same minute. In processor time, so that busy
    neighbours do not matter. What is worked out at all is asked above.
    """
    house = make_house(tmp_path / "house", 8)
    desk = Desk(house, "base")
    desk.refresh()
    start = time.process_time()
    Desk(house, "base").refresh().pages["staff/light-00003.html"].make(None)
    whole = time.process_time() - start
    page = house / "drinks" / "light-00003.md"
    best = 9.0
    for words in "abcde":
        with_words = desk._written["light-00003"].model_copy(update={"guest_text": words})
        desk._written = {**desk._written, "light-00003": with_words}
        start = time.process_time()
        showing = desk.refresh([page])
        showing.pages["staff/light-00003.html"].make(None)
        best = min(best, time.process_time() - start)
    assert best < whole / 2


@pytest.fixture(scope="module")
def looked_at(begun: Path) -> Desk:
    desk = Desk(begun / "bar", "base")
    desk.refresh()
    return desk


@pytest.fixture
def server(looked_at: Desk) -> Iterator[Server]:
    """A server of a house that was looked at, answering and making pages in threads."""
    server, over = Server(looked_at, 0), threading.Event()

    def work() -> None:
        while not over.is_set():
            server.work(0.01)

    threads = [
        threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True),
        threading.Thread(target=work, daemon=True),
    ]
    for thread in threads:
        thread.start()
    yield server
    server.shutdown()
    server.server_close()
    over.set()


def asked(server: Server) -> socket.socket:
    """A connection that asks for a page; what comes is not read yet."""
    link = socket.create_connection(("127.0.0.1", server.server_address[1]), timeout=HUNG_S)
    host = f"Host: 127.0.0.1:{server.server_address[1]}"
    link.sendall(f"GET /preview/events?since=9 HTTP/1.1\r\n{host}\r\n\r\n".encode())
    return link


def test_one_connection_too_many_is_closed(server: Server) -> None:
    """64 that are open and answered; the next is closed without a word; once one of them ends, as
    its browser's tab does, there is room again."""
    held = []
    for _ in range(server_module.MOST_CONNECTIONS):
        held.append(asked(server))
        assert held[-1].recv(15) == b"HTTP/1.0 200 OK"
    with suppress(ConnectionError), asked(server) as late:
        assert late.recv(1) == b""
    held.pop().close()
    end = time.monotonic() + HUNG_S
    while time.monotonic() < end:
        # Whoever is gone is found out as soon as there is something to tell.
        number = max(99, server.desk.showing.number + 1)
        server.desk.showing = replace(server.desk.showing, number=number)
        server.announce()
        with suppress(ConnectionError), asked(server) as again:
            if again.recv(15) == b"HTTP/1.0 200 OK":
                break
        time.sleep(0.01)
    else:
        raise AssertionError("there never was room again")
    for link in held:
        link.close()


def test_a_request_that_never_ends_is_given_up(
    server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half a request and then silence: its connection is closed when its time is over; the time is
    made short for this test, and is half a minute else."""
    assert server.RequestHandlerClass.timeout == server_module.PATIENCE_S == 30.0
    monkeypatch.setattr(server.RequestHandlerClass, "timeout", 0.05)
    with socket.create_connection(("127.0.0.1", server.server_address[1]), timeout=HUNG_S) as link:
        link.sendall(b"GET /staff/index.html HTTP/1.1\r\nHost: ")
        assert link.recv(1) == b""
    monkeypatch.undo()
    with asked(server) as link:
        assert link.recv(15) == b"HTTP/1.0 200 OK"


@pytest.mark.parametrize("what", ["one line", "many lines"])
def test_a_head_without_end_is_refused(server: Server, what: str) -> None:
    """A header of 100,000 letters, or a thousand headers: no more than that is read."""
    lines = (
        [b"X: " + b"x" * 100_000] if what == "one line" else [b"X-%d: x" % n for n in range(999)]
    )
    with socket.create_connection(("127.0.0.1", server.server_address[1]), timeout=HUNG_S) as link:
        with suppress(ConnectionError):
            link.sendall(b"GET / HTTP/1.1\r\n" + b"\r\n".join(lines) + b"\r\n\r\n")
        assert link.recv(12) == b"HTTP/1.0 431"


def test_a_page_keeps_its_policy(bar: Path) -> None:
    """The preview opens a page's own policy for its script and sheet, and for nothing else."""
    html = (
        '<html><head><meta http-equiv="Content-Security-Policy" content="default-src '
        "'none'; style-src 'self'; img-src data:\"></head><body class=\"x\"><p>y</p></body></html>"
    )
    page = dressed(html, Showing(7, {}, (), "", ok=True))
    policy = re.search(r'content="([^"]*)"', page)
    assert policy is not None
    assert policy[1] == (
        "default-src 'none'; style-src 'self'; img-src data:; script-src 'self'; connect-src 'self'"
    )
    assert 'data-number="7"' in page
    assert page_of(bar / "stock.yaml", bar) == "staff/index.html"


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="Linux tells it there")
def test_it_is_shut_in(preview: Preview) -> None:
    """The thread that reads the house and makes its pages gained no rights and opens no socket."""
    status = Path(f"/proc/{preview.process.pid}/status").read_text(encoding="ascii")
    told = dict(line.split(":\t", 1) for line in status.splitlines() if ":\t" in line)
    assert (told["NoNewPrivs"], told["Seccomp"]) == ("1", "2")
