"""Every glass of the demo half full of grey drinks, rendered by Mitsuba 3 and kept for the tests.

`sh .ci/rendered` renews rendered.npy and rendered.yaml: after a glass of the demo, or how a glass is
built from its outline, has changed. Mitsuba shares the shapes with the engine, as meshes, and
nothing else: where a ray meets them, Snell, Fresnel, which way light takes and what absorbs it are
its own. Jakob W. et al., Mitsuba 3 renderer, 2022, https://mitsuba-renderer.org.
"""

from __future__ import annotations

import datetime
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from anthocard.engine.optics.camera import Camera, camera, view
from anthocard.engine.optics.scene import INNER, LIQUID, Filling, Scene, make_scene
from anthocard.engine.optics.sight import VIEWS
from anthocard.engine.optics.surfaces import Skin, skin_of
from anthocard.house.reader import read_house
from anthocard.house.settings import Glass

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "recipes"
ABSORBANCES = (0.03, 0.1, 0.3)  # per cm, decadic: from pale to dark in every glass
FULL = 0.5  # of what a glass holds
WIDE, TALL = 40, 48  # pixels
SAMPLES, SEED, BOUNCES = 8192, 1, 100
SECTORS = 256  # of a turn about the axis


@cache
def glasses() -> dict[str, Glass]:
    """Those of the demo, as they are now."""
    return dict(read_house(DEMO).house.glasses)


def as_told(glass: Glass) -> dict[str, Any]:
    """All of a glass that its shape rests on, as YAML has it."""
    told: dict[str, Any] = yaml.safe_load(glass.model_dump_json())
    return {key: told[key] for key in ("width", "holds", "stem", "foot", "wall", "outline")}


def seen(glass: Glass, which: str) -> tuple[Scene, Camera]:
    """A glass half full, and the eye."""
    scene = make_scene(glass, Filling((FULL * glass.holds,)))
    return scene, camera(scene, view(which).elevation_deg, WIDE, TALL)


def left_half(image: np.ndarray) -> np.ndarray:
    """A picture (tall, wide, k) and its mirror image laid on each other: what is alike on both sides."""
    return (image + image[:, ::-1])[:, : image.shape[1] // 2] / 2.0


def kept() -> tuple[np.ndarray, dict[str, Any]]:
    """Light from 0 to 1 (glasses, views, TALL, WIDE / 2, absorbances), and what it was made of."""
    told = yaml.safe_load((HERE / "rendered.yaml").read_text(encoding="utf-8"))
    return np.load(HERE / "rendered.npy") / 255.0, told


def render() -> None:
    """Renders all of them anew; minutes."""
    import mitsuba

    mitsuba.set_variant("scalar_rgb")
    every = glasses()
    images = []
    for name, glass in every.items():
        for which in VIEWS:
            images.append(left_half(_rendered(mitsuba, *seen(glass, which))))
            print(name, which, images[-1].mean(axis=(0, 1)).round(3), flush=True)
    whole = np.array(images).reshape(len(every), len(VIEWS), TALL, WIDE // 2, len(ABSORBANCES))
    np.save(HERE / "rendered.npy", np.round(255.0 * whole.clip(0.0, 1.0)).astype(np.uint8))
    told = {
        "source": "Mitsuba 3, variant scalar_rgb, integrator volpathmis, a constant white surround",
        "how": "computed",
        "version": mitsuba.__version__,
        "made": datetime.datetime.now(datetime.UTC).date(),
        "seed": SEED,
        "samples_a_pixel": SAMPLES,
        "absorbance_per_cm": list(ABSORBANCES),
        "full": FULL,
        "glasses": {name: as_told(glass) for name, glass in every.items()},
    }
    text = yaml.safe_dump(
        told, sort_keys=False, allow_unicode=True, width=110, default_flow_style=None
    )
    (HERE / "rendered.yaml").write_text(text, encoding="utf-8")


def _rendered(mi: Any, scene: Scene, eye: Camera) -> np.ndarray:
    """Light (TALL, WIDE, 3) of the three absorbances, which are the three channels of one picture."""
    grey = [a * float(np.log(10.0)) for a in ABSORBANCES]
    drink = mi.load_dict(
        {"type": "homogeneous", "albedo": 0.0, "sigma_t": {"type": "rgb", "value": grey}}
    )
    parts: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "volpathmis", "max_depth": BOUNCES, "rr_depth": BOUNCES},
        "around": {"type": "constant", "radiance": {"type": "rgb", "value": 1.0}},
        "sensor": _sensor(mi, eye),
    }
    with tempfile.TemporaryDirectory() as folder:
        for number, (surface, kind) in enumerate(zip(scene.surfaces, scene.kinds, strict=True)):
            # Normals of the inner wall look into the glass, those of tops into the liquid, those of
            # the outside into the air: Mitsuba calls that side the outer one.
            inner, outer = surface.media if kind == INNER else surface.media[::-1]
            file = f"{folder}/{number}.ply"
            _mesh(mi, skin_of([surface], surface.media[0])).write_ply(file)
            n = scene.index
            bent = {"type": "dielectric", "int_ior": float(n[inner]), "ext_ior": float(n[outer])}
            part = {"type": "ply", "filename": file, "bsdf": bent}
            sides = {"interior": inner, "exterior": outer}
            parts[f"part{number}"] = part | {k: drink for k, m in sides.items() if m == LIQUID}
        found = mi.render(mi.load_dict(parts), spp=SAMPLES, seed=SEED)
    return np.array(found)


def _sensor(mi: Any, eye: Camera) -> dict[str, Any]:
    at = [float(x) for x in eye.eye]
    to = [float(x) for x in eye.eye + eye.forward]
    wide = 2.0 * np.degrees(np.arctan(eye.wide * eye.pixel / 2.0 / eye.distance))
    return {
        "type": "perspective",
        "fov": float(wide),
        "fov_axis": "x",
        "principal_point_offset_y": -float(eye.centre / (eye.tall * eye.pixel)),
        "to_world": mi.ScalarTransform4f().look_at(at, to, [float(x) for x in eye.up]),
        "film": {
            "type": "hdrfilm", "width": eye.wide, "height": eye.tall, "pixel_format": "rgb",
            "component_format": "float32", "rfilter": {"type": "box"},
        },
        "sampler": {"type": "independent", "sample_count": SAMPLES},
    }  # fmt: skip


def _mesh(mi: Any, skin: Skin) -> Any:
    """A surface turned about its axis, each segment with corners and smooth normals of its own."""
    turn = np.linspace(0.0, 2.0 * np.pi, SECTORS, endpoint=False)
    here = np.arange(SECTORS)
    there = (here + 1) % SECTORS

    def turned(flat: np.ndarray) -> np.ndarray:
        """(s, 2) of radius and height as (s, SECTORS, 3)."""
        r, z = flat[:, 0, np.newaxis], flat[:, 1, np.newaxis] + 0.0 * turn
        return np.stack([r * np.cos(turn), r * np.sin(turn), z], axis=2)

    points = np.stack([turned(skin.start), turned(skin.end)], axis=1).reshape(-1, 3)
    normals = np.stack([turned(skin.normal_start), turned(skin.normal_end)], axis=1).reshape(-1, 3)
    faces = []
    for number, (start, end) in enumerate(zip(skin.start, skin.end, strict=True)):
        low, high = 2 * number * SECTORS, (2 * number + 1) * SECTORS
        if start[0] > 1e-9:
            faces.append(np.stack([low + here, low + there, high + there], axis=1))
        if end[0] > 1e-9:
            faces.append(np.stack([low + here, high + there, high + here], axis=1))
    whole = np.concatenate(faces)
    one, other, third = (points[whole[:, n]] for n in range(3))
    across = np.cross(other - one, third - one)
    wrong = (across * normals[whole].sum(axis=1)).sum(axis=1) < 0.0
    whole[wrong] = whole[wrong][:, [0, 2, 1]]
    mesh = mi.Mesh("part", len(points), len(whole), has_vertex_normals=True)
    told = mi.traverse(mesh)
    told["vertex_positions"] = points.ravel().astype(np.float32)
    told["vertex_normals"] = normals.ravel().astype(np.float32)
    told["faces"] = whole.ravel().astype(np.uint32)
    told.update()
    return mesh


if __name__ == "__main__":
    render()
