"""Safety: which cautions a computed recipe calls for, and what the house decided about them.

Belongs here: running the rules, the house's own tightening and loosening, and telling an author
where care needs a look. Does not belong here: the rules themselves (facts/rules.yaml).
"""

from __future__ import annotations

from collections.abc import Iterator

from anthocard.diagnostics.diagnostic import MistakeLog, did_you_mean
from anthocard.engine.results import Caution, Computed
from anthocard.engine.safety.profile import profile
from anthocard.facts.law import shelf_life as keeping
from anthocard.facts.law.places import jurisdiction
from anthocard.facts.law.rules import Profile, Rule, figures_of, papers, rules, worded
from anthocard.house.collection import Collection, fold
from anthocard.house.settings import OwnRule


def check_house(collection: Collection, log: MistakeLog) -> None:
    """Note what is wrong with the house's place and its own rules, once a house.

    A place without rows of ours is a warning; a rule that does not exist, or that nobody may
    loosen, is an error.
    """
    house = collection.house
    if not jurisdiction(house.place).known:
        log.add(
            "place-without-rules",
            f"no local rules are known here for {house.place}, so only the universal ones show",
            collection.at(house, ("place",)),
            "ask your licensing or food authority, and write its rules on your own papers",
            "warning",
        )
    by_key = {rule.key: rule for rule in rules()}
    for key, own in house.rules.items():
        place = collection.at(house, ("rules", key), key=True)
        if key not in by_key and key not in keeping.policy_keys():
            known = (*by_key, *keeping.policy_keys())
            log.add("unknown-rule", f"no rule is called “{key}”", place, did_you_mean(key, known))
        elif key in by_key and by_key[key].firm and own.state == "loosened":
            log.add(
                "firm-rule",
                f"“{key}” keeps people from harm and cannot be loosened",
                place,
                "take the line away, or write state: tightened",
            )
        elif own.state == "permitted" and (key not in by_key or not by_key[key].permitted):
            log.add(
                "no-permission",
                f"“{key}” asks for no permission that a house could have",
                place,
                "write state: tightened or loosened; permissions are for "
                + ", ".join(one.key for one in rules() if one.permitted),
            )
        names = {fold(recipe.name) for recipe in collection.recipes}
        for number, name in enumerate(own.only):
            if fold(name) not in names:
                log.add(
                    "unknown-recipe",
                    f"no recipe is called “{name}”",
                    collection.at(house, ("rules", key, "only", number)),
                    did_you_mean(name, [recipe.name for recipe in collection.recipes]),
                )


def cautions(figures: Computed, collection: Collection, log: MistakeLog) -> tuple[Caution, ...]:
    """Every caution this recipe calls for, universal ones first, with the house's own decisions.

    The recipe must have its allergens and strengths. A loosened rule stays in the book for staff,
    with its reason and day, and leaves the guest's papers; a tightened one speaks whatever the
    place, and says the house's reason too. What must not be served as it stands is also a warning.
    """
    found = tuple(cautions_of(profile(figures, collection), collection, figures.name))
    for one in found:
        own = collection.decision_on(one.key, figures.name)
        if one.weight == "stop" and (own is None or own.state == "tightened"):
            place = collection.at(figures.recipe, ("name",))
            mend = f"change what it says, or take it away. {one.defer}"
            log.add(f"care-{one.key}", f"{figures.name}: {one.staff}", place, mend, "warning")
    return found


def cautions_at(figures: Computed, collection: Collection) -> Iterator[tuple[str, ...]]:
    """The keys of those that hold of a drink in each of its states; nothing unless several reveals.

    One reveal has a before and an after, and every caution holds of the drink from the first on.
    """
    if len(figures.stages) < 2:
        return
    for state in figures.states:
        then = profile(figures, collection, (state,))
        yield tuple(one.key for one in cautions_of(then, collection, figures.name))


def cautions_of(facts: Profile, collection: Collection, name: str) -> Iterator[Caution]:
    """The same for the profile of a recipe by its name, without warnings."""
    for rule in rules():
        own = collection.decision_on(rule.key, name)
        if rule.applies(facts, elsewhere=own is not None and own.state == "tightened"):
            yield _caution(rule, facts, own)


def _caution(rule: Rule, facts: Profile, own: OwnRule | None) -> Caution:
    guest, staff, label = (worded(text, facts) for text in (rule.guest, rule.staff, rule.label))
    if own is not None:
        staff = f"{staff} House, {own.date}: {own.state}. {own.reason}".strip()
    if own is not None and own.state == "loosened":
        guest = label = ""
    texts = {"guest": guest, "staff": staff, "label": label}
    on = tuple(
        name
        for name in rule.stands_on
        if facts.kind in papers()[name].kinds and texts[papers()[name].words]
    )
    return Caution(
        key=rule.key,
        **texts,
        source=rule.source,
        local=rule.local,
        defer=rule.defer,
        figures=figures_of(rule, facts),
        decision=None if own is None else (own.date, own.state, own.reason),
        weight="note" if own is not None and own.state == "permitted" else rule.weight,
        on=on,
        on_menu=rule.on_menu,
        on_label=rule.on_label,
        leave_out=rule.leave_out,
    )
