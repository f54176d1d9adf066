"""A house to search in, and sixty queries with the drink each must bring first.

Written down before there was a search to pass them. Half of the queries are misspelt as a wet
thumb or a stranger to the word would write them; the rest are whole words, beginnings, sums of
words, words from another language, and what somebody must not be served.
"""

from __future__ import annotations

from collections.abc import Iterator

HOUSE = """\
name: The Long Jetty
place: GB
currency: GBP
language: en-GB
languages: [de]
glasses:
  coupe: {width: 90 mm, holds: 200 ml}
  tall glass: {width: 60 mm, holds: 380 ml}
  tumbler: {width: 80 mm, holds: 340 ml}
  flute: {width: 46 mm, holds: 180 ml}
measures:
  dash: {ml: 0.8, measured: 2026-01-01}
"""

INFUSIONS = {
    "moonlit gin": "plant: butterfly pea\ninto: gin\ndose: 7 g/l\ntime: 90 min",
    "plum-dark vodka": "plant: red cabbage\ninto: vodka\ndose: 30 g/l\ntime: 20 h",
    "sorrel rum": "plant: hibiscus\ninto: white rum\ndose: 9 g/l\ntime: 5 h",
    "blush spirit": "plant: rose\ninto: vodka\ndose: 14 g/l\ntime: 8 h",
    "dusk water": "plant: butterfly pea\ninto: still water\ndose: 4 g/l\ntime: 15 min",
}

#: name, name in German, glass, ice, method, pours, what the guest pours or None
DRINKS = (
    ("Harbour Light", "Hafenlicht", "coupe", "none", "stirred", "50 ml moonlit gin; 15 ml blanc vermouth; 5 ml agave syrup", "6 ml lemon juice"),
    ("Ginger Groyne", "Ingwerbuhne", "tall glass", "cubed", "built", "45 ml sorrel rum; 120 ml ginger beer", "10 ml lime juice"),
    ("Stirring Rods", None, "coupe", "none", "stirred", "60 ml aquavit; 20 ml fino sherry; 2 dashes celery bitters", None),
    ("Red Buoy", "Rote Boje", "tumbler", "cubed", "shaken", "45 ml sorrel rum; 20 ml cranberry juice; 10 ml agave syrup", "8 ml lime juice"),
    ("Wet Rope", None, "tumbler", "block", "stirred", "50 ml plum-dark vodka; 10 ml elderflower liqueur", "6 ml lemon juice"),
    ("Gull's Breakfast", "Möwenfrühstück", "coupe", "none", "shaken", "40 ml moonlit gin; 20 ml lemon juice; 20 ml agave syrup; 25 ml pasteurised egg white", None),
    ("Low Water", "Niedrigwasser", "tall glass", "cubed", "built", "80 ml dusk water; 100 ml soda water; 15 ml agave syrup", "12 ml lemon juice"),
    ("High Water", "Hochwasser", "flute", "none", "built", "20 ml moonlit gin; 100 ml sparkling wine", None),
    ("Lantern Keeper", "Laternenwärter", "tumbler", "block", "stirred", "45 ml blush spirit; 15 ml blanc vermouth", "5 ml lime juice"),
    ("Salted Plank", None, "tall glass", "cubed", "built", "45 ml vodka; 120 ml tomato juice; 10 ml lemon juice; 2 dashes celery bitters", None),
    ("Pier Pressure", None, "coupe", "none", "shaken", "45 ml plum-dark vodka; 25 ml pineapple juice; 5 ml agave syrup", "5 ml lemon juice"),
    ("Tidal Bore", "Gezeitenwelle", "tall glass", "crushed", "swizzled", "50 ml white rum; 30 ml pineapple juice; 15 ml lime juice; 15 ml agave syrup", None),
    ("Foghorn", "Nebelhorn", "coupe", "none", "shaken", "45 ml vodka; 20 ml passion fruit juice; 15 ml agave syrup; 25 ml pasteurised egg white", None),
    ("Bell Rock", None, "tumbler", "cubed", "stirred", "45 ml gin; 25 ml fino sherry; 3 dashes lavender bitters", None),
    ("Knot Garden", "Knotengarten", "tall glass", "cubed", "built", "45 ml gin; 40 ml cucumber juice; 80 ml tonic water", None),
    ("Oyster Hour", "Austernstunde", "coupe", "none", "stirred", "50 ml vodka; 20 ml verjus; 5 ml agave syrup", None),
    ("Breakwater", "Wellenbrecher", "tall glass", "cubed", "built", "45 ml aquavit; 30 ml grapefruit juice; 90 ml soda water", None),
    ("Driftwood", "Treibholz", "tumbler", "block", "stirred", "50 ml white rum; 10 ml agave syrup; 2 dashes lavender bitters", None),
    ("Lifeboat", "Rettungsboot", "tall glass", "cubed", "built", "120 ml coconut water; 30 ml pineapple juice; 15 ml lime juice", None),
    ("Sandbar", "Sandbank", "tall glass", "cubed", "built", "90 ml apple juice; 60 ml soda water; 10 ml lemon juice", None),
    ("Anchor Chain", "Ankerkette", "tumbler", "cubed", "shaken", "45 ml aquavit; 20 ml apple juice; 10 ml lemon juice; 10 ml agave syrup", None),
    ("Sea Fret", "Seenebel", "coupe", "none", "thrown", "45 ml fino sherry; 30 ml blanc vermouth; 2 dashes celery bitters", None),
    ("Barnacle", None, "tumbler", "cubed", "shaken", "45 ml white rum; 20 ml grapefruit juice; 10 ml agave syrup", None),
    ("Moonrise on Deck Two", "Mondaufgang", "tall glass", "cubed", "built", "45 ml moonlit gin; 120 ml tonic water", "10 ml lime juice"),
    ("Cormorant", "Kormoran", "coupe", "none", "stirred", "40 ml plum-dark vodka; 20 ml fino sherry", "6 ml verjus"),
    ("Rosehip Point", None, "flute", "none", "built", "25 ml blush spirit; 90 ml sparkling wine", None),
    ("Kelp Forest", "Tangwald", "tall glass", "crushed", "swizzled", "45 ml aquavit; 40 ml cucumber juice; 15 ml lime juice; 15 ml agave syrup", None),
    ("Night Ferry", "Nachtfähre", "tumbler", "block", "stirred", "50 ml moonlit gin; 10 ml elderflower liqueur", "6 ml lemon juice"),
    ("Ferry Ticket", "Fahrkarte", "coupe", "none", "shaken", "45 ml gin; 20 ml lemon juice; 20 ml agave syrup", None),
    ("Tar Barrel", "Teerfass", "tumbler", "block", "stirred", "50 ml grape spirit; 10 ml agave syrup; 2 dashes lavender bitters", None),
)  # fmt: skip

#: query, the drink that must come first, whether it is misspelt
QUERIES = (
    ("harbour light", "Harbour Light", False),
    ("harbor lite", "Harbour Light", True),
    ("hafenlicht", "Harbour Light", False),
    ("hafnlicht", "Harbour Light", True),
    ("ginger", "Ginger Groyne", False),
    ("gingr groin", "Ginger Groyne", True),
    ("ingwerbune", "Ginger Groyne", True),
    ("red", "Red Buoy", False),
    ("red bouy", "Red Buoy", True),
    ("rote boje", "Red Buoy", False),
    ("wet rop", "Wet Rope", False),
    ("wett rope", "Wet Rope", True),
    ("gulls breakfast", "Gull's Breakfast", False),
    ("guls brekfast", "Gull's Breakfast", True),
    ("mowenfruhstuck", "Gull's Breakfast", False),
    ("möwenfrüstück", "Gull's Breakfast", True),
    ("low water", "Low Water", False),
    ("hi water", "High Water", True),
    ("hochwasser", "High Water", False),
    ("lanten keeper", "Lantern Keeper", True),
    ("latrenwärter", "Lantern Keeper", True),
    ("tomato", "Salted Plank", False),
    ("tomatoe juice", "Salted Plank", True),
    ("pier", "Pier Pressure", False),
    ("peer presure", "Pier Pressure", True),
    ("red cabbage pineapple", "Pier Pressure", False),
    ("tidal", "Tidal Bore", False),
    ("tidle bor", "Tidal Bore", True),
    ("fog", "Foghorn", False),
    ("foghron", "Foghorn", True),
    ("passionfruit", "Foghorn", False),
    ("pasion fruit egg", "Foghorn", True),
    ("bell rock", "Bell Rock", False),
    ("lavander gin", "Bell Rock", True),
    ("tonic cucumber", "Knot Garden", False),
    ("cucmber tonic", "Knot Garden", True),
    ("verjus vodka", "Oyster Hour", False),
    ("oister hour", "Oyster Hour", True),
    ("aquavit grapefruit", "Breakwater", False),
    ("aquavite grapefriut", "Breakwater", True),
    ("driftwood", "Driftwood", False),
    ("drift wood", "Driftwood", True),
    ("no alcohol coconut", "Lifeboat", False),
    ("coconut", "Lifeboat", False),
    ("cocunut", "Lifeboat", True),
    ("apple soda", "Sandbar", False),
    ("sand bar", "Sandbar", True),
    ("anchor", "Anchor Chain", False),
    ("ankor chain", "Anchor Chain", True),
    ("thrown", "Sea Fret", False),
    ("sherry vermuth", "Sea Fret", True),
    ("barnicle", "Barnacle", True),
    ("tonic moonlit", "Moonrise on Deck Two", False),
    ("moonrise dek two", "Moonrise on Deck Two", True),
    ("cormorant", "Cormorant", False),
    ("comorant", "Cormorant", True),
    ("flute rose", "Rosehip Point", False),
    ("swizled aquavit", "Kelp Forest", True),
    ("night fery", "Night Ferry", True),
    ("gin no egg shaken", "Ferry Ticket", False),
)

#: query, a drink it must never bring: the word stands only inside another
NEVER = (
    ("red", "Stirring Rods"),
    ("gin", "Ginger Groyne"),
    ("rose", "Sea Fret"),
    ("egg", "Ferry Ticket"),
    ("no egg", "Foghorn"),
    ("no alcohol", "Driftwood"),
    ("without egg", "Gull's Breakfast"),
    ("ohne ei", "Foghorn"),
    ("rum", "Cormorant"),
)


def files() -> Iterator[tuple[str, str]]:
    """The house's recipes by path."""
    for name, written in INFUSIONS.items():
        yield f"infusions/{_slug(name)}.md", f"kind: infusion\nname: {name}\n{written}\n"
    for name, german, glass, ice, method, pours, reveal in DRINKS:
        lines = [f'kind: drink\nname: "{name}"\nglass: {glass}\nice: {ice}\nmethod: {method}\n']
        if german:
            lines.append(f"translations:\n  de: {{name: {german}}}\n")
        lines.append("pours:\n" + "".join(f"  - {one.strip()}\n" for one in pours.split(";")))
        if reveal:
            amount, _, what = reveal.partition(" ml ")
            lines.append(f"reveal:\n  pour: {what}\n  amount: {amount} ml\n")
        yield f"drinks/{_slug(name)}.md", "".join(lines)


def _slug(name: str) -> str:
    return name.lower().replace("'", "").replace(" ", "-")
