"""Papers for a press: inks, boxes, type on one plate, and a look that can find what is wrong.

The printing condition is the general CMYK profile that comes with Ghostscript, which reads the
files a second time: its separations say how much ink really falls on one place.
"""

from __future__ import annotations

import io
import re
import subprocess
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pikepdf
import pytest
from anthocard.cli import main
from anthocard.house.settings import House
from anthocard.press.base.sizes import card_paper
from anthocard.press.base.theme import find_theme
from anthocard.press.paper.bar_cards import Printed, print_card
from anthocard.press.paper.job import HERE
from anthocard.press.plates.condition import NoPressProfile, read_condition
from anthocard.press.plates.conversion import press_ready
from anthocard.press.plates.inks import BLACK, PAPER, Inks
from anthocard.press.plates.operators import in_grey, in_inks
from anthocard.press.plates.preflight import problems
from anthocard.press.plates.shadings import Segment, in_inks as course_in_inks
from anthocard.press.words.card import make_card
from PIL import Image, ImageCms

from tests.press.drawn_on_paper import BOUNDS, pictures_of
from tests.press.pressed import demo, measured
from tests.press.test_bar_cards import at, words
from tests.press.test_printed_pictures import board

PROFILE = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
THEMES = ("base", "dusk", "plain", "almanac")

pytestmark = pytest.mark.skipif(
    not PROFILE.is_file(), reason="Ghostscript's profile is not on this machine; .ci/run brings it"
)


@pytest.fixture(scope="module")
def inks() -> Inks:
    return Inks(read_condition(PROFILE.read_bytes(), "CGATS TR 001"))


@pytest.fixture(scope="module", params=THEMES)
def sides(
    request: pytest.FixtureRequest, by_hand: SimpleNamespace, house: House, inks: Inks
) -> tuple[Printed, Printed]:
    """A card as it was set, and as it goes to a press."""
    one = by_hand.compute(by_hand.drink())
    theme = find_theme(request.param)
    card = HERE.now(print_card(make_card(one, house), one, theme, card_paper("A6"), at))
    return card, Printed(press_ready(card.front, inks), press_ready(card.back, inks))


def test_colours_are_those_of_the_profile(inks: Inks) -> None:
    """Against Pillow's own conversion of a picture, 8-bit: no ink more than a level away."""
    for rgb in ((19, 26, 145), (128, 20, 60), (233, 180, 60), (90, 160, 90)):
        picture = Image.new("RGB", (1, 1), rgb)
        whole = ImageCms.applyTransform(picture, inks.transform)
        assert whole is not None
        made = inks((rgb[0] / 255, rgb[1] / 255, rgb[2] / 255), "shading")
        assert np.abs(np.array(made) * 255 - np.array(whole.getpixel((0, 0)))).max() <= 1


def test_type_is_one_plate_and_white_is_paper(inks: Inks) -> None:
    """Near-black ink is solid black, quiet type a grey of black ink, a tinted page the paper."""
    assert inks((0.09, 0.074, 0.12), "type") == BLACK
    cyan, magenta, yellow, black = inks((0.34, 0.32, 0.37), "type")
    assert (cyan, magenta, yellow) == (0, 0, 0)
    assert 0.5 < black < 0.9
    for white in ((1.0, 1.0, 1.0), (0.97, 0.95, 0.98)):
        assert inks(white, "area") == PAPER
    assert sum(v > 0 for v in inks((0.2, 0.2, 0.7), "area")) > 1


def test_greys_keep_their_order(inks: Inks) -> None:
    """The darker on the screen, the more black ink, all the way down."""
    ramp = [inks((v / 20, v / 20, v / 20), "type")[3] for v in range(20)]
    assert ramp == sorted(ramp, reverse=True)


def test_ink_stays_within_its_limit() -> None:
    """A limit below what the profile would lay down is kept, and the black with it."""
    few = Inks(read_condition(PROFILE.read_bytes(), "CGATS TR 001", 200))
    plenty = Inks(read_condition(PROFILE.read_bytes(), "CGATS TR 001", 400))
    steps = [v / 4 for v in range(5)]
    for rgb in ((r, g, b) for r in steps for g in steps for b in steps):
        assert sum(few(rgb, "shading")) <= 2.003
        assert few(rgb, "shading")[3] == plenty(rgb, "shading")[3]


@pytest.mark.parametrize("percent", [300, 220])
def test_pictures_are_put_into_inks_pixel_by_pixel(percent: int) -> None:
    """The board of one drink: its pictures in four inks within the limit, as the profile has each
    colour, and as much of them covered as before; nothing of RGB is left.
    """
    few = Inks(read_condition(PROFILE.read_bytes(), "CGATS TR 001", percent))
    before = board("base")
    pdf = press_ready(before, few)
    assert not problems(pdf)
    shown, printed = pictures_of(before), pictures_of(pdf)
    assert len(shown) == len(printed) == 2
    for one, inked in zip(shown, printed, strict=True):
        assert inked.space == "/DeviceCMYK"
        assert inked.dots_an_inch >= BOUNDS["paper"]["fine"]["at_least"]
        np.testing.assert_array_equal(inked.cover, one.cover)
        assert inked.pixels.sum(axis=-1, dtype=int).max() <= 2.55 * percent
        row, column = (int(v) for v in np.argwhere(one.cover > 0.99)[500])
        red, green, blue = (int(v) / 255 for v in one.pixels[row, column])
        wanted = np.array(few((red, green, blue), "shading")) * 255
        assert np.abs(inked.pixels[row, column] - wanted).max() <= 1.5


def test_a_gradient_runs_as_its_colours_do(inks: Inks) -> None:
    """Anywhere along a course the inks are within 1 ΔE*ab of those of the colour itself there."""
    start, end = (0.07, 0.1, 0.57), (0.85, 0.35, 0.75)
    course = course_in_inks([Segment(0, 1, start, end)], inks)
    assert course[0].start == 0
    assert course[-1].end == 1
    for where in np.linspace(0, 1, 41):
        one = next(p for p in course if p.start <= where <= p.end)
        share = (where - one.start) / (one.end - one.start)
        laid = [a + share * (b - a) for a, b in zip(one.first, one.last, strict=True)]
        colour = [a + where * (b - a) for a, b in zip(start, end, strict=True)]
        wanted = inks((colour[0], colour[1], colour[2]), "shading")
        seen = (inks.printed_lab(tuple(v)) for v in (laid, wanted))
        assert np.linalg.norm(np.subtract(*seen)) <= 1.8  # levels of 8 bits: 1 in each of three


def test_operators_one_by_one(inks: Inks) -> None:
    """Black type overprints, all else knocks out, black rules too: on a dark strip they would be more
    ink than it bears; a mask keeps its light as grey."""
    stream = b"q\n0 0 0 rg\nBT\n<41> Tj\nET\nQ\n1 1 1 rg\nBT\nET\n0.2 0.2 0.7 rg\n0 0 m\nf\n0 G"
    made, overprints = in_inks(stream, inks)
    assert overprints
    assert made.startswith(b"q\n0 0 0 1 k\n/BlackOver gs\nBT\n<41> Tj\nET\n/KnockOut gs\nQ\n")
    assert made.endswith(b"0 0 0 1 K")
    after, _ = in_inks(b"0 0 0 rg\nBT\nET\n1 1 1 rg\nBT\nET", inks)
    assert after == b"0 0 0 1 k\n/BlackOver gs\nBT\nET\n/KnockOut gs\n0 0 0 0 k\nBT\nET"
    assert in_grey(b"1 0 0 rg\n0 0 1 RG") == b"0.3000 g\n0.1100 G"
    for odd in (b"(words) Tj", b"q\nBI\nEI", b"/CS0 cs\n0.3 sc"):
        with pytest.raises(ValueError, match=r"stream with|neither RGB"):
            in_inks(odd, inks)


def test_nothing_is_found_wrong(sides: tuple[Printed, Printed], inks: Inks) -> None:
    """Both sides in each theme pass our own look; as they were set they do not; twice is the same."""
    before, made = sides
    for side in ("front", "back"):
        set_, ready = getattr(before, side), getattr(made, side)
        assert problems(ready) == ()
        assert {"a colour in RGB", "0 printing conditions"} <= set(problems(set_))
        assert press_ready(set_, inks) == ready


def test_words_and_tags_stay(sides: tuple[Printed, Printed]) -> None:
    """The same words in the same places, the same structure; boxes as before, no crop."""
    before, made = sides
    assert words(made.front) == words(before.front)
    with pikepdf.open(io.BytesIO(before.front)) as old, pikepdf.open(io.BytesIO(made.front)) as new:
        assert len(new.Root.StructTreeRoot.K) == len(old.Root.StructTreeRoot.K)
        for box in ("/TrimBox", "/BleedBox", "/MediaBox"):
            assert [*new.pages[0].obj[box]] == [*old.pages[0].obj[box]]
        assert "/CropBox" not in new.pages[0].obj


def test_no_place_takes_more_ink_than_it_bears(
    sides: tuple[Printed, Printed], tmp_path: Path
) -> None:
    """Ghostscript's separations, overprint simulated: four plates, at most 300 % anywhere."""
    (tmp_path / "card.pdf").write_bytes(sides[1].front)
    command = [
        "gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep", "-r72",
        "-dOverprint=/simulate", "-o", str(tmp_path / "p%d.tif"), str(tmp_path / "card.pdf"),
    ]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True)
    plates = sorted(tmp_path.glob("p1(*.tif"))
    names = [re.search(r"\((\w+)\)", plate.name)[1] for plate in plates]  # type: ignore[index]
    assert names == ["Black", "Cyan", "Magenta", "Yellow"]
    ink = sum(255 - np.asarray(Image.open(plate).convert("L"), float) for plate in plates)
    assert 100 < np.max(ink) / 2.55 <= 300


def test_the_look_finds_what_is_planted(sides: tuple[Printed, Printed]) -> None:
    """White type that overprints, type of several inks, a missing box, RGB: each is named."""
    plants = {
        "white type that overprints, and vanishes": b"/BlackOver gs 0 0 0 0 k BT <41> Tj ET",
        "type in more than one ink": b"0.5 0.5 0 0 k BT <41> Tj ET",
        "a colour in RGB": b"1 0 0 rg 0 0 1 1 re f",
    }
    for fault, planted in plants.items():
        with pikepdf.open(io.BytesIO(sides[1].front)) as document:
            document.pages[0].contents_add(b"Q q " + planted)
            states = document.pages[0].obj.Resources.ExtGState
            if "/BlackOver" not in states:  # a card whose type is all light has none
                states["/BlackOver"] = pikepdf.Dictionary(OP=True, op=True, OPM=1)
            out = io.BytesIO()
            document.save(out)
        assert problems(out.getvalue()) == (fault,)
    with pikepdf.open(io.BytesIO(sides[1].front)) as document:
        document.pages[0].obj.BleedBox = document.pages[0].obj.TrimBox
        del document.docinfo["/Trapped"]
        out = io.BytesIO()
        document.save(out)
    assert set(problems(out.getvalue())) == {
        "page 1 has less than 3 mm of bleed", "its information lacks /Trapped",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("content", "name", "why"),
    [
        (b"not a profile", "FOGRA39", "it is no ICC profile"),
        (ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(), "x39", "in CMYK"),
        (PROFILE.read_bytes() if PROFILE.is_file() else b"", "a\nb", "no name of a printing"),
    ],
)
def test_what_is_no_condition_is_refused(content: bytes, name: str, why: str) -> None:
    """Another kind of file, a profile of a screen, a name of two lines."""
    with pytest.raises(NoPressProfile, match=why):
        read_condition(content, name)


def test_a_house_with_a_wrong_profile_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At its line in house.yaml, before anything is written; a way out of the folder too."""
    assert main(["begin", str(tmp_path / "bar")]) == 0
    house = tmp_path / "bar"
    text = (house / "house.yaml").read_text(encoding="utf-8")
    (house / "wrong.icc").write_bytes(b"no profile")
    for named, why in (("wrong.icc", "it is no ICC profile"), ("../up.icc", "no name of a file")):
        (house / "house.yaml").write_text(
            f"{text}\npress: {{profile: {named}}}\n", encoding="utf-8"
        )
        capsys.readouterr()
        out = tmp_path / "out"
        assert main(["publish", "--house", str(house), "--out", str(out)]) == 1
        told = capsys.readouterr().err
        assert why in told
        assert "house.yaml" in told
        assert not out.exists() or not any(out.iterdir())


def test_drinks_of_the_demo_house_as_a_press_gets_them() -> None:
    """Both sides of a drink in each theme: no RGB, type on one plate, exact boxes, at most 300 %
    of ink on any place, and no seam above 1 ΔE00 where the strip runs over the trim.
    `python -m tests.press.pressed` reads every drink in every theme.
    """
    slugs = [slug for slug, one in demo()[1].items() if one.is_drink][::4]
    found = measured(((slug, THEMES[n % 4]) for n, slug in enumerate(slugs)), dpi=150)
    assert len(found) == 2 * len(slugs)
    for one in found:
        assert one.faults == (), one.what
        assert one.ink_percent <= 300.5, one.what
        assert one.seam <= 1.0, one.what
