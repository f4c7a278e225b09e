"""Words in furniture's names, in several languages, that tell fixed from movable, and hearths.

Common practice: what is fitted to the building (kitchens, built-in wardrobes, counters, vanities)
keeps pipes out; what can be carried to another place does not. Movable words win only over an
unknown name; fixed words win over movable ones ("kitchen table" has both: see `MOVABLE_FIRST`).
"""

from __future__ import annotations

import unicodedata

MOVABLE_FIRST = ("table", "tisch", "tafel", "mesa", "tavolo", "stol", "stuhl", "chair", "chaise", "silla", "sedia",
                 "stool", "hocker", "desk", "schreibtisch", "bureau", "bord", "стол", "стул", "椅", "机")  # fmt: skip
FIXED = ("kitchen", "kuche", "cuisine", "keuken", "cocina", "cucina", "kuchni", "kuchyn", "kok", "cozinha", "mutfak",
         "кухн", "キッチン", "cabinet", "counter", "worktop", "arbeitsplatte", "vanity", "wardrobe", "closet",
         "einbau", "built-in", "builtin", "built in", "armadio a muro", "placard", "inbouw", "empotrad", "encastr",
         "island", "kuhlschrank", "fridge", "refrigerator", "oven", "backofen", "cooker", "dishwasher",
         "spulmaschine", "sink", "spule", "meuble vasque", "waschtisch", "шкаф")  # fmt: skip
MOVABLE = ("sofa", "couch", "bed", "bett", "lit", "cama", "letto", "armchair", "sessel", "fauteuil", "bench", "bank",
           "shelf", "regal", "lamp", "leuchte", "rug", "teppich", "plant", "pflanze", "tv", "piano", "bookcase",
           "chest", "kommode", "диван", "кроват", "ベッド", "ソファ", "computer", "person", "planter")  # fmt: skip
HEARTH = ("chimney", "fireplace", "hearth", "wood stove", "kamin", "schornstein", "kachelofen", "cheminee",
          "foyer ouvert", "chimenea", "camino", "caminetto", "schoorsteen", "openhaard", "komin", "krb",
          "skorsten", "peis", "takka", "lareira", "somine", "камин", "печь", "暖炉")  # fmt: skip


def plain(text: str) -> str:
    """Lower case without accents."""
    split = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in split if not unicodedata.combining(c))


def is_hearth_name(*names: str) -> bool:
    """Whether a name tells of a hearth or chimney."""
    text = " ".join(map(plain, names))
    return any(word in text for word in map(plain, HEARTH))


def says_movable(*names: str) -> bool | None:
    """True for movable furniture, False for fixed, None where the names say neither."""
    text = " ".join(map(plain, names))
    for words, answer in ((MOVABLE_FIRST, True), (FIXED, False), (MOVABLE, True)):
        if any(_found(plain(word), text) for word in words):
            return answer
    return None


def _found(word: str, text: str) -> bool:
    """Whether a word occurs; short ones only as whole words."""
    if len(word) > 4 or not word.isascii():
        return word in text
    cleaned = "".join(c if c.isalnum() else " " for c in text)
    return f" {word} " in f" {cleaned} "
