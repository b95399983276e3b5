"""New ship folders: a small example, or one from five answers with no list of zones.

Everything that is proposed from answers is a guess by kind of ship (judgement), written
out in her own files so that it can be seen and put right; what nobody told stays blank.
"""

import csv
import io
import json
import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from corrosion.foundation.data_files import toml_tables
from corrosion.foundation.errors import InputError
from corrosion.records.folder.column_docs import columns_text
from corrosion.records.folder.files import FILES

_ALLOWED: Final = 0.8  # of the thickness as built: common practice, no source
_BANDS: Final = (  # name, exposure, upper and lower edge in draughts below the water
    ("boot-top", "splash", -0.15, 0.0),
    ("side", "immersed", 0.0, 0.6),
    ("bottom", "immersed", 0.6, 1.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfShip:
    """What is proposed for one kind of ship."""

    # displaced volume over length times beam times draught [-]
    block_coefficient: float
    frame_spacing: float  # [m]
    # names of the stretches into which her length is cut, the foremost first
    stretches: Sequence[str]
    plate_mm: float  # shell plating as built [mm]
    # keys of her main electrical system, as ship.toml writes them
    system: Mapping[str, str | float]


KINDS: Final[Mapping[str, KindOfShip]] = {
    name: KindOfShip(**keys)
    for name, keys in toml_tables(__file__, "kinds_of_ship.toml").items()
}
"""Kinds of ship by name, of kinds_of_ship.toml; all figures are judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstAnswers:
    """The five answers, and her name; raises InputError if one cannot be."""

    name: str  # her name
    kind: str  # a key of :data:`KINDS`
    # length, beam, draught: on the waterline [m]
    length: float
    beam: float
    draught: float
    built: int  # year

    def __post_init__(self) -> None:
        if not self.name.strip():
            msg = "name: is blank; write her name"
            raise InputError(msg)
        if self.kind not in KINDS:
            msg = f"kind: {self.kind!r} is none of {', '.join(KINDS)}"
            raise InputError(msg)
        if not 0.0 < self.draught < self.beam < self.length:
            msg = (
                "length, beam and draught: must be above 0 m and grow from draught to "
                f"beam to length, got {self.length:g} × {self.beam:g} × "
                f"{self.draught:g} m. Feet? One foot is 0.3048 m."
            )
            raise InputError(msg)


def write_first_ship(folder: str | Path, answers: FirstAnswers) -> None:
    """Write a ship folder from five answers, whole or not at all.

    Raises InputError if the folder exists or cannot be written.
    """
    final = Path(folder)
    if final.exists():
        msg = f"{final}: is there already. Choose another name; nothing was written."
        raise InputError(msg)
    draft = final.with_name(f".saving-{final.name}")
    try:
        draft.mkdir(parents=True)
        (draft / "ship.toml").write_text(_ship_toml(answers), encoding="utf-8")
        for name in FILES:
            if name.endswith(".csv"):
                text = _zones(answers) if name == "zones.csv" else _header(name)
                (draft / name).write_text(text, encoding="utf-8")
        draft.rename(final)
    except OSError as error:
        shutil.rmtree(draft, ignore_errors=True)
        msg = f"{final}: cannot be written ({error.strerror}). Choose another place."
        raise InputError(msg) from None


def _ship_toml(answers: FirstAnswers) -> str:
    kind = KINDS[answers.kind]
    name = answers.name.strip().replace("\\", " ").replace('"', "'")
    keys = [f"{key} = {json.dumps(value)}" for key, value in kind.system.items()]
    text = Path(__file__).with_suffix(".txt").read_text("utf-8")
    return text.format(answers=answers, kind=kind, name=name, system="\n".join(keys))


def _header(name: str) -> str:
    """Return the headings that the example of the file has."""
    example = Path(__file__).with_name("example") / name
    return example.read_text(encoding="utf-8").splitlines()[0] + "\n"


def _zones(answers: FirstAnswers) -> str:
    out = io.StringIO()
    rows = list(_zone_rows(answers))
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _zone_rows(answers: FirstAnswers) -> Iterator[dict[str, str]]:
    """Yield her shell: stretches by bands by sides, frames and depths from her form."""
    kind = KINDS[answers.kind]
    frames = answers.length / kind.frame_spacing
    count = len(kind.stretches)
    edges = [round(frames * place / count) for place in range(count + 1)]
    for place, stretch in enumerate(kind.stretches):
        for side in ("port", "starboard"):
            for band, exposure, top, bottom in _BANDS:
                yield {
                    "zone": f"{place + 1}{side[0].upper()}-{band[:3].upper()}",
                    "name": f"{band}, {stretch}, {side}",
                    "frame_from": str(edges[place]),
                    "frame_to": str(edges[place + 1]),
                    "side": side,
                    "top_m": f"{top * answers.draught:.2f}",
                    "bottom_m": f"{bottom * answers.draught:.2f}",
                    "exposure": exposure,
                    "built_mm": f"{kind.plate_mm:g}",
                    "limit_mm": f"{_ALLOWED * kind.plate_mm:.1f}",
                    "access": "diver" if band == "bottom" else "inside",
                }


def write_example(path: str | Path) -> None:
    """Write a small, commented, invented ship folder to fill in.

    Beside its files stands ``columns.md``: what each column means.

    Parameters
    ----------
    path : str or Path
        The new folder; parents are made as needed.

    Raises
    ------
    InputError
        If something is already there, or the folder cannot be written.
    """
    folder, example = Path(path), Path(__file__).with_name("example")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            msg = f"{folder}: is not empty. Name a new folder; nothing was written."
            raise InputError(msg)
        for name in FILES:
            (folder / name).write_bytes((example / name).read_bytes())
        (folder / "columns.md").write_text(columns_text(), encoding="utf-8")
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        reason = error.strerror if isinstance(error, OSError) else str(error)
        msg = f"{folder}: cannot be written ({reason}). Name another folder."
        raise InputError(msg) from None
