"""The steps of a preparation in words of the trade, in order, with their amounts.

Belongs here: one sentence a step, and what it comes to. Does not belong here: what a step does
(engine/steps), the amounts of everything together (amounts.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace

from anthocard.engine.results import Computed
from anthocard.engine.steps.pot import Done
from anthocard.facts.units.measures import pieces, to_g, to_ml
from anthocard.facts.units.step_amounts import parse_lot
from anthocard.facts.units.step_fields import StepPart
from anthocard.facts.units.written_numbers import MeasureError
from anthocard.house import steps as written
from anthocard.house.model import Preparation
from anthocard.press.base.languages import Language
from anthocard.press.base.number_text import duration, fixed, millilitres, tidy, volume, weight

_WORDED_APART = 0.02  # yields closer than that are told as one


def step_lines(computed: Computed, tongue: Language, times: float = 1.0) -> tuple[str, ...]:
    """One line a step of a preparation, made so many times as it is written; none of others."""
    recipe, making = computed.recipe, computed.making
    if not isinstance(recipe, Preparation) or making is None:
        return ()
    return tuple(
        " ".join(_sentences(*_scaled(step, done, times, tongue), tongue))
        for step, done in zip(recipe.steps, making.done, strict=True)
    )


def _sentences(step: written.Step, done: Done, tongue: Language) -> Iterator[str]:
    """What is done; for how long and how warm; what comes out."""
    how = [_sentence(step, done, tongue)]
    hours = step.rest if isinstance(step, written.Rest) else step.time
    if isinstance(step, written.Age):
        hours = step.age
    if hours:
        how.append(duration(hours, tongue))
    if step.temperature is not None and not isinstance(step, written.Carbonate):
        how.append(f"{tidy(step.temperature, 0, tongue)} °C")
    yield f"{', '.join(how)}."
    if done.used:
        yield tongue.gettext("That takes %(lots)s.", lots=_used(done, tongue))
    yield from _out(step, done, tongue)


def _scaled(
    step: written.Step, done: Done, times: float, tongue: Language
) -> tuple[written.Step, Done]:
    """The step and its account for so many times the recipe, in amounts a scale or jug shows."""
    if times == 1.0:
        return step, done
    more: dict[str, object] = {}
    for key in ("add", "juice", "zest", "oleo", "steep", "wash", "agents"):
        lots = getattr(step, key, None)
        if isinstance(lots, tuple):
            more[key] = tuple(_lot(lot, times, tongue) for lot in lots)
    if isinstance(step, written.TopUp):
        more["top_up"] = step.top_up * times
    if isinstance(step, written.Sweeten) and step.ratio is None and step.to is None:
        with suppress(MeasureError):
            lot = _lot(StepPart.made(*parse_lot(step.sweeten)), times, tongue)
            more["sweeten"] = f"{lot.amount.text} {lot.name}"
    portions = None if done.portions is None else math.ceil(done.portions * times - 1e-9)
    return step.model_copy(update=more), replace(
        done,
        out_ml=done.out_ml * times,
        left_g=done.left_g * times,
        used=tuple((name, grams * times) for name, grams in done.used),
        co2_g=done.co2_g * times,
        portions=portions,
    )


def _lot(lot: StepPart, times: float, tongue: Language) -> StepPart:
    ml, g, count = to_ml(lot.amount), to_g(lot.amount), pieces(lot.amount)
    if ml is not None:
        text = volume(ml * times, "other", tongue)
    elif g is not None:
        text = weight(g * times, tongue)
    else:
        text = tidy((count or lot.amount.value) * times, 1, tongue)
        if lot.amount.unit != "piece":
            text = f"{text} {lot.amount.unit}"
    amount = replace(lot.amount, value=lot.amount.value * times, text=text)
    return StepPart.made(amount, lot.name)


def _sentence(step: written.Step, done: Done, tongue: Language) -> str:
    match step:
        case written.Add():
            return tongue.gettext("Add %(lots)s", lots=_lots(step.add))
        case written.TopUp():
            return tongue.gettext(
                "Fill with water to %(volume)s", volume=millilitres(step.top_up, tongue)
            )
        case written.Juice():
            return tongue.gettext("Juice %(lots)s", lots=_lots(step.juice))
        case written.Zest():
            return tongue.gettext("Zest %(lots)s into it, without the white", lots=_lots(step.zest))
        case written.Oleo():
            return tongue.gettext(
                "Rub %(lots)s with %(sugar)s sugar and leave it closed",
                lots=_lots(step.oleo),
                sugar=tongue.gettext("its own weight of")
                if step.sugar is None
                else step.sugar.text,
            )
        case written.Steep():
            return _steep(step, tongue)
        case written.Press():
            return tongue.gettext("Press through %(cloth)s", cloth=_cloth(step.press, tongue))
        case written.Strain():
            return tongue.gettext("Strain through %(cloth)s", cloth=_cloth(step.strain, tongue))
        case written.Rest():
            return tongue.gettext("Let it rest")
        case written.Sweeten():
            return _sweeten(step, done, tongue)
        case written.AcidAdjust():
            return tongue.gettext("Adjust the acid to %(aim)s", aim=_aim(step, tongue))
        case written.Salt():
            return tongue.gettext("Salt it: %(amount)s", amount=step.salt.text)
        case _:
            return _later(step, done, tongue)


def _later(step: written.Step, done: Done, tongue: Language) -> str:
    match step:
        case written.Dilute():
            return tongue.gettext(
                "Bring it down with water to %(strength)s",
                strength=f"{tidy(step.dilute, 1, tongue)} % vol",
            )
        case written.Blend():
            return tongue.gettext("Blend it smooth")
        case written.Reduce():
            return tongue.gettext("Simmer it down to %(volume)s", volume=millilitres(done.out_ml))
        case written.Chill():
            return tongue.gettext("Chill it to %(degrees)s", degrees=_degrees(step.chill, tongue))
        case written.Freeze():
            return tongue.gettext("Freeze it at %(degrees)s", degrees=_degrees(step.freeze, tongue))
        case written.Thaw():
            if step.thaw.text == "whole":
                return tongue.gettext("Let it thaw")
            return tongue.gettext("Let it thaw and keep what runs off first")
        case written.Wash():
            return tongue.gettext("Wash it with %(lots)s", lots=_lots(step.wash))
        case written.Clarify():
            return _clarify(step, tongue)
        case written.Ferment():
            culture = tongue.word("culture", step.ferment)
            return tongue.gettext("Ferment it: %(culture)s", culture=culture)
        case written.Carbonate():
            return _carbonate(step, done, tongue)
        case written.Vent():
            return tongue.gettext("Let the gas out, slowly")
        case written.Keg():
            return tongue.gettext("Into a keg, under %(gas)s", gas=tongue.word("gas", step.keg))
        case written.Bottled():
            return tongue.ngettext(
                "Into %(n)d bottle of %(size)s, with head space",
                "Into %(n)d bottles of %(size)s, with head space",
                done.portions or 0,
                size=millilitres(step.bottle, tongue),
            )
        case written.Age():
            return tongue.gettext("Let it lie in %(place)s", place=tongue.word("lies", step.inside))
        case written.Portioned():
            return tongue.ngettext(
                "Part it: %(n)d portion of %(size)s", "Part it: %(n)d portions of %(size)s",
                done.portions or 0, size=step.portion.text,
            )  # fmt: skip
    raise TypeError(f"nothing words {type(step).__name__}")


def _steep(step: written.Steep, tongue: Language) -> str:
    lots = _lots(step.steep)
    match step.way:
        case "warm":
            return tongue.gettext("Steep %(lots)s warm, in a closed jar", lots=lots)
        case "vacuum bag":
            return tongue.gettext("Steep %(lots)s in a vacuum bag", lots=lots)
        case "pressure":
            return tongue.gettext("Steep %(lots)s under pressure", lots=lots)
        case "siphon":
            return tongue.gettext("Steep %(lots)s in the cream siphon, charged", lots=lots)
        case _:
            return tongue.gettext("Steep %(lots)s", lots=lots)


def _clarify(step: written.Clarify, tongue: Language) -> str:
    lots = "" if step.agents is None else f" ({_lots(step.agents)})"
    match step.clarify:
        case "agar":
            return tongue.gettext("Clear it with agar%(lots)s", lots=lots)
        case "gelatin":
            return tongue.gettext("Clear it with gelatin%(lots)s", lots=lots)
        case "enzyme":
            return tongue.gettext("Clear it with enzyme and fining%(lots)s", lots=lots)
        case "centrifuge":
            return tongue.gettext("Spin it clear in the centrifuge%(lots)s", lots=lots)
        case _:
            return tongue.gettext("Filter it clear%(lots)s", lots=lots)


def _sweeten(step: written.Sweeten, done: Done, tongue: Language) -> str:
    if step.to is not None:
        return tongue.gettext(
            "Dissolve %(sugar)s to %(brix)s °Bx",
            sugar=_dialled(step, done), brix=tidy(step.to, 1, tongue),
        )  # fmt: skip
    if step.ratio is not None:
        return tongue.gettext(
            "Dissolve %(sugar)s, %(ratio)s to 1 by weight",
            sugar=_dialled(step, done), ratio=tidy(step.ratio, 2, tongue),
        )  # fmt: skip
    return tongue.gettext("Dissolve %(sugar)s in it", sugar=step.sweeten)


def _dialled(step: written.Sweeten, done: Done) -> str:
    return done.used[0][0] if done.used else step.sweeten


def _carbonate(step: written.Carbonate, done: Done, tongue: Language) -> str:
    bar = fixed(done.pressure_bar or 0.0, 1, tongue)
    values = {
        "volumes": tidy(step.carbonate, 1, tongue),
        "bar": bar,
        "vessel": tongue.word("gas vessel", step.vessel),
        "grams": tidy(done.co2_g, 0, tongue),
    }
    text = tongue.gettext(
        "Charge it to %(volumes)s volumes of CO2 (%(vessel)s): %(bar)s bar over the air at rest, "
        "%(grams)s g of gas",
        **values,
    )
    if "bottle" in step.vessel and done.warm_bar is not None:
        warm = fixed(done.warm_bar, 1, tongue)
        text += tongue.gettext("; %(bar)s bar if it gets warm, so keep it cold", bar=warm)
    return text


def _out(step: written.Step, done: Done, tongue: Language) -> Iterator[str]:
    """How much there is after a step that keeps something back, and how sure that is."""
    if done.left_g <= 0.0 or isinstance(step, written.Reduce | written.Ferment):
        return
    volume = millilitres(done.out_ml, tongue)
    low, _, high = done.gives
    if done.weighed or high - low < _WORDED_APART:
        yield tongue.gettext("%(volume)s come out.", volume=volume)
        return
    yield tongue.gettext(
        "About %(volume)s come out: %(low)s to %(high)s %% by practice, weigh yours.",
        volume=volume,
        low=tidy(100.0 * low, 0, tongue),
        high=tidy(100.0 * high, 0, tongue),
    )


def _aim(step: written.AcidAdjust, tongue: Language) -> str:
    aim = step.acid_adjust
    if not aim.of:
        return aim.text
    match aim.sort:
        case "acids":
            return tongue.gettext("the acids of %(juice)s", juice=aim.of)
        case "ph":
            return tongue.gettext("the pH of %(juice)s", juice=aim.of)
        case _:
            return tongue.gettext("the acidity of %(juice)s", juice=aim.of)


def _used(done: Done, tongue: Language) -> str:
    return ", ".join(f"{weight(grams, tongue)} {name}" for name, grams in done.used)


def _lots(lots: Iterable[StepPart]) -> str:
    return ", ".join(f"{lot.amount.text} {lot.name}" for lot in lots)


def _cloth(cloth: str, tongue: Language) -> str:
    return tongue.word("strainer", {"fine": "a fine strainer", "cloth": "a cloth",
                                    "paper": "a paper filter"}[cloth])  # fmt: skip


def _degrees(celsius: float, tongue: Language) -> str:
    return f"{tidy(celsius, 0, tongue)} °C"
