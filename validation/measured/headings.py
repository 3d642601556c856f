"""What a heading of somebody's own table means: the table's own names first, then words of six languages and units."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from validation.measured.manifest_columns import ManifestColumn, column_of
from validation.rig.columns import describe_column, fold
from validation.rig.units import FORCE, TRAVEL, UNITS, Unit, find_unit, unit_in_name
from validation.rig.unknown_unit import unknown_unit

_GRAM = UNITS["gf"].factor  # weight of a gram, N
_QUANTITIES = {
    "stiffness": "stiffness steifigkeit slope rigidity rigidité raideur rigidez rigidezza stijfheid",
    "mass": "mass masse masa massa",
    "width": "width breite b largeur ancho anchura larghezza breedte",
    "depth": "depth height thickness höhe dicke h hauteur épaisseur altura espesor alto altezza spessore hoogte dikte",
    "lever": "lever lever_arm arm hebel hebelarm kraglänge bras_de_levier brazo braccio hefboom",
    "load_span": "load_span inner_span lastabstand",
    "span": "span support_span stützweite auflagerabstand portée luz luce overspanning",
}
_TEXTS = {
    "specimen": "specimen sample probe prüfkörper probekörper probe_nr probennummer échantillon éprouvette probeta "
    "muestra provino campione proefstuk beam stab balken nr no id specimen_no sample_no sample_id",
    "build": "build batch plate druck druckplatte auftrag lot lote lotto",
    "test_order": "test_order order reihenfolge",
    "mode": "mode failure failure_mode bruchart versagen versagensart bruchbild rupture_mode",
    "note": "note notes comment comments remark bemerkung bemerkungen notiz kommentar remarque observación nota",
    "valid": "valid gültig valide válido valido geldig",
    "file": "file datei fichier archivo",
}
_KEYS = {
    "set_fill": "fill infill set_fill füllung füllgrad fülldichte remplissage relleno riempimento vulling density "
    "dichte",
    "geometric_fill": "fill geometric_fill covered füllung",
    "walls": "walls wall wall_count wände wand wandzahl wandlinien parois paredes pareti wanden",
    "pattern": "pattern füllmuster motif patrón motivo patroon",
    "layer_height_mm": "layer_height layer schichthöhe schichtdicke hauteur_de_couche altura_de_capa laagdikte",
    "bead_width_mm": "bead_width line_width linienbreite spurbreite",
    "angle_deg": "angle winkel ángulo angolo hoek",
    "orientation": "orientation orientierung ausrichtung orientación orientamento",
}
# words that say which value of a beam is meant, and change nothing: it has one force, one mass
_PLAIN = frozenset(
    "max maximum maximal peak breaking break bruch failure ultimate at bei beim of the der des de in am set measured "
    "gemessen gemessene actual ist".split()
)
# a weight may be the beam's or the one that hung on it
_WEIGHT = frozenset("weight gewicht poids peso".split())
_STIFF = re.compile(r"(.*?)[\s_]*[(\[/]?\s*\b([A-Za-z]{1,3})\s*(?:/|_per_| per )\s*([A-Za-z]{1,2})\s*[)\]]?")


@dataclass(frozen=True)
class _Phrase:
    """A heading without its unit: folded words, and those left without the ones that change nothing."""

    text: str
    unit: Unit | None

    @property
    def bare(self) -> str:
        return " ".join(word for word in self.text.split() if word not in _PLAIN)

    def among(self, words: str) -> bool:
        known = {word.replace("_", " ") for word in words.split()}
        return self.text in known or self.bare in known


def meaning(heading: str, keys: Sequence[str] = ()) -> ManifestColumn | None:
    """Return what a column is by its heading, None if nobody knows.

    Parameters
    ----------
    heading : str
        As in the file, its unit perhaps in it: ``Kraft (N)``, ``load kg``, ``Füllung [%]``.
    keys : sequence of str
        Columns of the study, bare or dotted.

    Examples
    --------
    >>> column = meaning("Kraft (kN)")
    >>> column.target, column.kind, column.factor
    ('breaking_force', 'number', 1000.0)
    >>> meaning("Füllung [%]", ["set_fill"]).factor
    0.01
    """
    own = column_of(heading, keys)
    if own is not None and own.kind != "unit missing":
        return own
    if stiff := _stiffness(heading):
        return stiff
    bare, unit = unit_in_name(heading)
    percent = re.fullmatch(r"(.*?)[_\s]+(?:percent|pct|prozent)", bare, re.IGNORECASE)
    bare, unit = (percent[1], UNITS["%"]) if percent else (bare, unit)
    strange = unknown_unit(heading) if unit is None else None
    if strange:
        bare = heading[: heading.rindex(strange)].rstrip(" ([{</").removesuffix(" in")
    # F max, Pmax: the sign of a force with what says which
    phrase = _Phrase(fold(re.sub(r"^(f|p)[_ ]?max$", r"\1", bare, flags=re.IGNORECASE)), unit)
    return _key(phrase, keys) or _quantity(phrase, strange) or _text(phrase) or own


def is_known(heading: str, keys: Sequence[str] = ()) -> bool:
    """Return whether a heading means anything."""
    return meaning(heading, keys) is not None


def _stiffness(heading: str) -> ManifestColumn | None:
    """Return a force over a length as a stiffness."""
    match = _STIFF.fullmatch(heading.strip())
    if match is None or not _Phrase(fold(match[1]), None).among(_QUANTITIES["stiffness"]):
        return None
    force, length = find_unit(match[2], FORCE), find_unit(match[3], TRAVEL)
    if force is None or length is None:
        return None
    return ManifestColumn("stiffness", "number", force.factor / length.factor, force.guess)


def _key(phrase: _Phrase, keys: Sequence[str]) -> ManifestColumn | None:
    """Return the study's own column that a heading names, in the study's unit."""
    for key in keys:
        name = key.rpartition(".")[2]
        if name in _KEYS and phrase.among(_KEYS[name]):
            if name.endswith("fill"):
                return ManifestColumn(key, "key", 0.01 if phrase.unit and phrase.unit.symbol == "%" else 1.0)
            length = phrase.unit is not None and phrase.unit.dimension == TRAVEL and name.endswith("_mm")
            return ManifestColumn(key, "key", phrase.unit.factor if length and phrase.unit else 1.0)
    return None


def _quantity(phrase: _Phrase, strange: str | None) -> ManifestColumn | None:
    """Return the measured quantity that a heading names, with its unit, or what is to be asked."""
    target = next((name for name, words in _QUANTITIES.items() if phrase.among(words)), None)
    unit = phrase.unit
    if target is None and phrase.bare in _WEIGHT:
        # grams are never hung on a beam to break it
        target = "mass" if unit is not None and unit.guess and unit.factor <= UNITS["oz"].factor else "weight"
    if target is None and _is_force(phrase.bare):
        target = "breaking_force"
    if target is None:
        return None
    if target == "weight":
        return ManifestColumn("mass or breaking_force", "asked", note="the beam's mass or the force on it?")
    if unit is None:
        told = f"'{strange}' is no known unit" if strange else "name its unit"
        return ManifestColumn(target, "unit missing", note=told)
    factor = factor_of(target, unit)
    if factor is None:
        return ManifestColumn(target, "asked", note=f"{unit.symbol} is no unit of {target.replace('_', ' ')}")
    return ManifestColumn(target, "number", factor, unit.guess if target == "breaking_force" else "")


def _is_force(word: str) -> bool:
    """Return whether one word is a force by the rig's reader; more may tell another than the breaking one."""
    return word in ("f", "p") or (" " not in word and describe_column(0, word).role == FORCE)


def factor_of(target: str, unit: Unit) -> float | None:
    """Return the factor from a unit to N, N/mm, g or mm of a quantity, None where it is no unit of it."""
    if target == "mass":
        return unit.factor / _GRAM if unit.guess else None
    if target == "breaking_force":
        return unit.factor if unit.dimension == FORCE else None
    if target == "stiffness":
        return {"N/mm": 1.0, "kN/mm": 1000.0}.get(unit.symbol)
    return unit.factor if unit.dimension == TRAVEL else None


def _text(phrase: _Phrase) -> ManifestColumn | None:
    target = next((name for name, words in _TEXTS.items() if phrase.among(words)), None)
    return ManifestColumn(target, "text") if target and phrase.unit is None else None
