"""From a transmission spectrum to CIELAB, a screen colour and the distance between two colours.

Belongs here: tristimulus sums, CIELAB, CIEDE2000, sRGB and its gamut, contrast. Does not belong
here: spectra of plants (pigments), the shape of a glass (glass), other lights and other eyes
(light), words for colours (names).

CIELAB and the swatch come from the same XYZ (D65, 10° observer); the white is the sum of the
same weights, so clear water is L* 100, a* = b* = 0 and #ffffff exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anthocard.diagnostics.tables import read_table
from anthocard.facts.chemistry.liquid import Floats
from anthocard.facts.colour.names import UNTOLD, names_of

_E = (6 / 29) ** 3  # CIE 015:2018, where CIELAB's cube root gives way to a straight line
_K = (29 / 6) ** 2 / 3


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour as a card shows it.

    `hex` is what a screen can show (#rrggbb), `lab` is CIELAB (D65, 10°) before any reduction,
    `in_gamut` is False when the screen colour had to be made duller, `name` is a plain word.
    """

    hex: str
    lab: tuple[float, float, float]
    in_gamut: bool
    name: str

    @property
    def shown(self) -> str:
        """`hex`, or nothing where nobody can tell the colour."""
        return "" if self.name == UNTOLD else self.hex


def to_xyz(transmittance: Floats, every: int = 1) -> Floats:
    """Tristimulus values, white Y = 100; spectra (…, 81) of 0-1 give (…, 3).

    Of spectra at `every` so many wavelengths alone (4: each 20 nm) they are nearly the same.
    """
    return np.asarray(100.0 * (transmittance @ _weights(every)))


def white() -> Floats:
    """XYZ of clear water, shape (3,): the sum of the weights."""
    return np.asarray(100.0 * _weights(1).sum(axis=0))


def to_lab(transmittance: Floats) -> Floats:
    """CIELAB (D65, 10°) of spectra (…, 81), shape (…, 3)."""
    return lab_of_xyz(to_xyz(transmittance))


def lab_of_xyz(xyz: ArrayLike, white_xyz: ArrayLike | None = None) -> Floats:
    """CIELAB of XYZ (…, 3) for a white (default: clear water); CIE 015:2018."""
    over = white() if white_xyz is None else np.asarray(white_xyz, dtype=np.float64)
    ratio = np.asarray(xyz, dtype=np.float64) / over
    f = np.where(ratio > _E, np.cbrt(ratio), _K * ratio + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def xyz_of_lab(lab: ArrayLike) -> Floats:
    """XYZ (…, 3), D65/10°, of CIELAB (…, 3): `lab_of_xyz` the other way."""
    lab = np.asarray(lab, dtype=np.float64)
    y = (lab[..., 0] + 16) / 116
    f = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    return np.asarray(white() * np.where(f > 6 / 29, f**3, (f - 4 / 29) / _K))


def lch_of_lab(lab: ArrayLike) -> Floats:
    """Lightness, chroma and hue in degrees 0-360 of CIELAB (…, 3)."""
    lab = np.asarray(lab, dtype=np.float64)
    a, b = lab[..., 1], lab[..., 2]
    return np.stack([lab[..., 0], np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360], axis=-1)


def delta_e_2000(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """CIEDE2000 between CIELAB colours (…, 3), kL = kC = kH = 1.

    Sharma G., Wu W., Dalal E.N., Color Res. Appl. 30(1):21-30, 2005.
    """
    l_1, a_1, b_1 = np.moveaxis(np.asarray(lab_1, dtype=np.float64), -1, 0)
    l_2, a_2, b_2 = np.moveaxis(np.asarray(lab_2, dtype=np.float64), -1, 0)
    c_mean = (np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2
    g = 1.5 - 0.5 * np.sqrt(c_mean**7 / (c_mean**7 + 25.0**7))
    c_1, c_2 = np.hypot(g * a_1, b_1), np.hypot(g * a_2, b_2)
    h_1 = np.degrees(np.arctan2(b_1, g * a_1)) % 360
    h_2 = np.degrees(np.arctan2(b_2, g * a_2)) % 360

    grey = c_1 * c_2 == 0
    turn = h_2 - h_1
    apart = np.abs(turn) > 180  # the short way round leads through 0°
    turn = np.where(apart, turn - np.copysign(360, turn), turn)
    turn = np.where(grey, 0.0, turn)
    h_mean = (h_1 + h_2) / 2 + np.where(apart, np.where(h_1 + h_2 < 360, 180, -180), 0)
    h_mean = np.where(grey, h_1 + h_2, h_mean)

    d_l, d_c = l_2 - l_1, c_2 - c_1
    d_h = 2 * np.sqrt(c_1 * c_2) * np.sin(np.radians(turn) / 2)
    l_mid, c_mid = (l_1 + l_2) / 2, (c_1 + c_2) / 2

    def cos(degrees: Floats) -> Floats:
        return np.asarray(np.cos(np.radians(degrees)))

    t = (
        1
        - 0.17 * cos(h_mean - 30)
        + 0.24 * cos(2 * h_mean)
        + 0.32 * cos(3 * h_mean + 6)
        - 0.20 * cos(4 * h_mean - 63)
    )
    s_l = 1 + 0.015 * (l_mid - 50) ** 2 / np.sqrt(20 + (l_mid - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c_mid, 1 + 0.015 * c_mid * t
    swing = np.sin(np.radians(60 * np.exp(-(((h_mean - 275) / 25) ** 2))))
    r_t = -2 * np.sqrt(c_mid**7 / (c_mid**7 + 25.0**7)) * swing
    l_part, c_part, h_part = d_l / s_l, d_c / s_c, d_h / s_h
    return np.asarray(np.sqrt(l_part**2 + c_part**2 + h_part**2 + r_t * c_part * h_part))


def adapt(xyz: Floats, from_white: Floats, to_white: Floats) -> Floats:
    """XYZ (…, 3) as they look under another white, by CAT02 with full adaptation."""
    cat = _matrix("cat02")
    gain = (cat @ to_white) / (cat @ from_white)
    return np.asarray(xyz @ (np.linalg.inv(cat) @ np.diag(gain) @ cat).T)


def linear_of_xyz(xyz: Floats) -> Floats:
    """Linear sRGB (…, 3) of D65/10° XYZ, adapted to the screen's white; may leave 0-1."""
    screen = _matrix("srgb_to_xyz")
    adapted = adapt(np.asarray(xyz) / 100.0, white() / 100.0, screen.sum(axis=1))
    return np.asarray(adapted @ _inverse("srgb_to_xyz").T)


def lab_of_linear(linear: Floats) -> Floats:
    """CIELAB (D65, 2°, the screen's own white) of linear sRGB (…, 3)."""
    screen = _matrix("srgb_to_xyz")
    return lab_of_xyz(linear @ screen.T, screen.sum(axis=1))


def in_gamut(linear: Floats, margin: float = 1e-6) -> NDArray[np.bool_]:
    """Whether linear sRGB (…, 3) lies in 0-1, shape (…)."""
    return np.asarray(((linear >= -margin) & (linear <= 1 + margin)).all(axis=-1))


def into_gamut(linear: Floats) -> Floats:
    """Linear sRGB (…, 3) inside 0-1: lightness and hue of Oklab kept, chroma cut where needed."""
    return _into(linear, np.eye(3))


def display_p3(lab: ArrayLike) -> Floats:
    """Encoded Display P3 0-1 (…, 3) of CIELAB (…, 3), D65/10°, brought into it as into sRGB."""
    return encode(_into(linear_of_xyz(xyz_of_lab(lab)), _wider()))


def _wider() -> Floats:
    """What linear sRGB rows are multiplied with to be linear Display P3 (3, 3)."""
    return np.asarray((_inverse("display_p3_to_xyz") @ _matrix("srgb_to_xyz")).T)


def _into(linear: Floats, screen: Floats) -> Floats:
    """Linear sRGB (…, 3) as linear light 0-1 of a screen, whose own it is times `screen` (3, 3)."""
    flat = np.array(linear, dtype=np.float64).reshape(-1, 3)
    out = ~in_gamut(flat @ screen)
    if out.any():
        lab = oklab_of_linear(flat[out])
        lab[:, 0] = np.clip(lab[:, 0], 0, 1)
        low, high = np.zeros(len(lab)), np.ones(len(lab))
        for _ in range(20):  # chroma to one part in a million
            middle = (low + high) / 2
            part = np.stack([np.ones_like(low), middle, middle], axis=-1)
            fits = in_gamut(_linear_of_oklab(lab * part) @ screen)
            low, high = np.where(fits, middle, low), np.where(fits, high, middle)
        flat[out] = _linear_of_oklab(lab * np.stack([np.ones_like(low), low, low], -1))
    return np.clip(flat @ screen, 0, 1).reshape(np.shape(linear))


def oklab_of_linear(linear: Floats) -> Floats:
    """Oklab L, a, b (…, 3) of linear sRGB (Ottosson B., 2020)."""
    return np.asarray(np.cbrt(linear @ _matrix("oklab_cones").T) @ _matrix("oklab").T)


def encode(linear: Floats) -> Floats:
    """Linear to encoded sRGB, both 0-1 (IEC 61966-2-1)."""
    low = 12.92 * linear
    return np.where(linear <= 0.0031308, low, 1.055 * np.maximum(linear, 0) ** (1 / 2.4) - 0.055)


def decode(srgb: ArrayLike) -> Floats:
    """Encoded to linear sRGB, both 0-1 (IEC 61966-2-1)."""
    srgb = np.asarray(srgb, dtype=np.float64)
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def to_srgb(transmittance: Floats) -> Floats:
    """Encoded sRGB 0-1 of spectra (…, 81), inside the screen's gamut, shape (…, 3)."""
    return encode(into_gamut(linear_of_xyz(to_xyz(transmittance))))


def hex_of(srgb: Floats) -> str:
    """#rrggbb of one encoded colour, shape (3,)."""
    r, g, b = (round(255 * float(channel)) for channel in srgb)
    return f"#{r:02x}{g:02x}{b:02x}"


def srgb_of_hex(text: str) -> Floats:
    """Encoded sRGB 0-1, shape (3,), of #rrggbb. Raises ValueError for anything else."""
    if len(text) != 7 or text[0] != "#":
        raise ValueError(f"not a colour of the form #rrggbb: {text!r}")
    return np.array([int(text[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0


def colour_of_xyz(xyz: Floats) -> Colour:
    """The Colour of one set of tristimulus values, shape (3,), D65/10°, white Y = 100."""
    return colours_of_xyz(xyz[np.newaxis])[0]


def colours_of_xyz(xyz: Floats) -> tuple[Colour, ...]:
    """The same of many, shape (n, 3)."""
    linear, labs = linear_of_xyz(xyz), lab_of_xyz(xyz)
    screen, shown = encode(into_gamut(linear)), in_gamut(linear)
    rows = zip(screen, labs.tolist(), shown.tolist(), names_of(labs), strict=True)
    return tuple(
        Colour(hex_of(srgb), (lightness, a, b), fits, name)
        for srgb, (lightness, a, b), fits, name in rows
    )


def colour_of(transmittance: Floats) -> Colour:
    """The Colour of one transmission spectrum, shape (81,), each 0-1."""
    return colour_of_xyz(to_xyz(transmittance))


def untold() -> Colour:
    """What stands for a colour that nobody can tell: white paper, and its own word."""
    return Colour(hex="#ffffff", lab=(100.0, 0.0, 0.0), in_gamut=True, name=UNTOLD)


def wcag_contrast(hex_1: str, hex_2: str) -> float:
    """Contrast ratio 1-21 of two #rrggbb colours (WCAG 2.1, SC 1.4.3)."""
    # WCAG rounds the luminance weights of sRGB to four places; so does this.
    dark, light = sorted(
        float(decode(srgb_of_hex(text)) @ (0.2126, 0.7152, 0.0722)) for text in (hex_1, hex_2)
    )
    return (light + 0.05) / (dark + 0.05)


def _linear_of_oklab(lab: Floats) -> Floats:
    cones = (lab @ _inverse("oklab").T) ** 3
    return np.asarray(cones @ _inverse("oklab_cones").T)


@cache
def _matrix(name: str) -> Floats:
    return np.array(
        read_table("anthocard.facts.colour", "colours.yaml")["matrices"][name]["values"]
    )


@cache
def _inverse(name: str) -> Floats:
    return np.asarray(np.linalg.inv(_matrix(name)))


@cache
def _weights(every: int) -> Floats:
    """Weights (n, 3) of every so many wavelengths; what lies between follows Lagrange's cubic."""
    rows = read_table("anthocard.facts.colour", "colours.yaml")["weights"]["d65_10"]["values"]
    weights = np.array(rows)[:, 1:]
    if every == 1:
        return weights
    told = np.arange(0.0, len(weights), every)
    between = np.zeros((len(weights), len(told)))
    for at, row in enumerate(between):
        first = min(max(at // every - 1, 0), len(told) - 4)
        for n in range(first, first + 4):
            others = np.delete(told[first : first + 4], n - first)
            row[n] = np.prod((at - others) / (told[n] - others))
    return np.asarray(between.T @ weights)
