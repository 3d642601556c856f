"""Which column is force, travel or time: the words of several languages for them."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from validation.rig.units import FORCE, OTHER, TIME, TRAVEL, Unit, unit_in_name

# Stems are looked for inside the name, so that compounds are found; words and signs must stand alone.
_STEMS = {
    FORCE: (
        "force load kraft fuerza forza força kracht charge effort carico carga belasting kuorma voima "
        "kuvvet zatížení siła obciążenie сила нагрузк усилие 荷重 試験力 荷重値 载荷 荷载 负荷 力值 하중 力"
    ),
    TRAVEL: (
        "displac deflec deflex extension elongation travel stroke crosshead traverse position durchbiegung verformung "
        "verschiebung déplacement deplacement flèche course desplazamiento recorrido spostamento deslocamento "
        "verplaatsing doorbuiging przemieszczenie ugięcie перемещен прогиб průhyb posun förskjutning forskydning "
        "nedböjning nedbøyning siirtymä taipuma elmozdulás deplasman lvdt extensometer deflectometer actuator "
        "変位 たわみ ストローク 位移 变形 挠度 行程 변위 dial"
    ),
    TIME: "time zeit tiempo время 時間 时间 시간 elapsed millis clock temps",
}
_WORDS = {
    FORCE: "f p fn fz last weight poids gewicht lc loadcell cell síla yük erő peso f1 f2",
    TRAVEL: "disp displ ext defl weg hub pos flecha freccia fleche corsa carrera droga ход u w laser "
    "gauge dist distance stage",
    TIME: "t tempo tijd czas tid aika čas zaman idő timestamp date datum hora uhrzeit heure temps zeitpunkt",
}
_NOT = (
    "strain stress dehnung spannung contrainte tensión deformación modulus modul energy energie arbeit work rate speed "
    "velocity geschwindigkeit vitesse velocidad command cmd setpoint soll target demand reference error temperature "
    "temperatur température cycle cycles count counts status state max maximum min minimum peak mean average avg std "
    "width thickness diameter length span area breite dicke durchmesser höhe cod cmod clip limit preload vorkraft "
    "stiffness compliance steifigkeit number nummer id mode at break bruch bei rupture rotura rottura yield failure "
    "ultimate first slope sollwert ひずみ 応力 应变 应力"
).split()
_AT_BEAM = (
    "deflec deflex durchbiegung flèche fleche flecha freccia doorbuiging ugięcie прогиб průhyb taipuma lvdt "
    "extensometer dial laser たわみ 挠度"
).split()
_AT_RIG = "crosshead traverse stroke actuator position hub ストローク 行程 carrera corsa stage".split()

_STEMS_OF = {role: text.split() for role, text in _STEMS.items()}
_WORDS_OF = {role: frozenset(text.split()) for role, text in _WORDS.items()}


@dataclass(frozen=True)
class Column:
    """One column of a table: what it measures, under which name and unit.

    ``rank`` orders columns of the same role (travel measured at the beam comes before the rig's own).
    """

    index: int
    name: str
    role: str | None
    unit: Unit | None = None
    rank: int = 0
    group: str = ""


def fold(name: str) -> str:
    """Return a name in lower case, one form of each letter, separators as blanks."""
    text = unicodedata.normalize("NFKC", name)
    text = re.sub(r"(?<=[a-z])(?=[A-Z][a-z])", " ", text)  # axialForce
    return re.sub(r"[\s_.:;,/\\|#*\"'()\[\]{}<>-]+", " ", text.lower()).strip()


@lru_cache(maxsize=4096)
def describe_column(index: int, name: str, unit: Unit | None = None, group: str = "") -> Column:
    """Return what a column measures, judged by its name and, where the name says nothing, by its unit.

    Parameters
    ----------
    index : int
        Position in the row, from 0.
    name : str
        As in the file, perhaps with a unit in it.
    unit : Unit, optional
        From a row of units; a unit in the name goes first.
    group : str
        Label of the specimen above the name.

    Examples
    --------
    >>> describe_column(0, "Standardkraft [N]").role
    'force'
    >>> describe_column(1, "Flexural strain (%)").role is None
    True
    """
    bare, named = unit_in_name(name)
    unit = named or unit
    folded = fold(bare)
    # P1, P2 number specimens (probe, probeta, próbka) rather than forces.
    words = [
        word if re.fullmatch(r"p\d+", word) else re.sub(r"\d+$", "", word) or word for word in folded.split()
    ]
    column = Column(index, name.strip(), None, unit, 0, group)
    other = unit is not None and unit.dimension == OTHER and unit.symbol not in {"-", "1"}
    if other or any(word in _NOT or word.endswith(("max", "min")) for word in words):
        return column
    role = _role_by_name(folded, words)
    if role is None and unit is not None and unit.dimension in (FORCE, TRAVEL, TIME):
        return Column(index, column.name, unit.dimension, unit, -1, group)
    if role is None or (unit is not None and unit.dimension not in (role, OTHER)):
        return column
    rank = 0
    if role == TRAVEL:
        rank = (
            1
            if any(stem in folded for stem in _AT_BEAM)
            else -1
            if any(stem in folded for stem in _AT_RIG)
            else 0
        )
    return Column(index, column.name, role, unit, rank, group)


def _role_by_name(folded: str, words: list[str]) -> str | None:
    """Return the one role that a folded name speaks of; the first word wins over later ones."""
    found: list[tuple[int, str]] = []
    for role, stems in _STEMS_OF.items():
        found += [(folded.find(stem), role) for stem in stems if stem in folded]
        if len(words) <= 3 and not _WORDS_OF[role].isdisjoint(words):
            found.append((len(folded), role))
    roles = {role for _, role in found}
    if roles == {FORCE, TRAVEL}:
        # "load position", "force displacement": the last noun is the quantity, a caption of both is none.
        last = max(found)[1]
        return last if len(words) > 1 and "load cell" not in folded else None
    if roles == {FORCE, TIME} or roles == {TRAVEL, TIME}:
        return max(found)[1] if len(words) > 1 else None
    return roles.pop() if len(roles) == 1 else None
