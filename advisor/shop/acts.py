"""Acts on the shop's shelf as people type them: values as text, lists as files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from advisor.shop.entries import own_entries
from advisor.shop.exchange import csv_of, from_yaml, rows_of_csv, yaml_of
from advisor.shop.knowledge import laid_on_shelf
from advisor.shop.records import OwnEntry, TakenIn
from advisor.shop.shelf import add, change, count_metres, kind_of, remove, take_in, take_in_rows
from advisor.shop.typed import field_of, typed
from rules.catalogue import load_catalogue
from rules.catalogue.documents import MOST_BYTES, file_text
from rules.catalogue.proposed_film import FAMILY_OF_FINISH
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.fact import Fact
from rules.facts.film import HOTTEST_SETPOINT_C, LONGEST_PRESSED_S, UNKNOWN_FAMILY
from rules.facts.press import Press
from rules.facts.units import Units, show_c

__all__ = [
    "add_stated", "add_typed", "bring_in", "change", "count_metres", "own_entries", "remove",
    "set_typed", "taken_out", "typed", "unusable",
]  # fmt: skip

_LIKE = {"presses": "clamshell-38x38", "fabrics": "cotton-jersey-tee"}
"""What is gone by where the shop says nothing: the commonest of its kind. Common practice, no
source."""
LARGEST_IN_CM = 50.0
"""A platen whose sides are written as no more than this was measured in centimetres."""
DIAL_READS = ("celsius", "fahrenheit")
"""What a dial may read in, which is no range of it."""
_LIKE_SHEET = {"cover": "ptfe-cover", "pad": "foam-pad-small"}


def add_typed(
    kind: str, name: str, texts: Iterable[tuple[str, str]], *, like: str | None, store: Path | None
) -> tuple[OwnEntry, Fact]:
    """Put a thing of the shop's own on its shelf, its values as somebody typed them.

    Args:
        kind: ``films``, ``fabrics``, ``garments``, ``presses`` or ``sheets``.
        name: its id.
        texts: the word for each value, and what was typed.
        like: the thing that the rest is proposed from.
        store: the file of the store; without it, where the shop keeps it.

    Returns:
        What is kept of it, and the whole thing.

    Raises:
        BadInputError: values cannot be read or used; all of them are told.
    """
    values: dict[str, Any] = {}
    unread: dict[str, str] = {}
    for word, text in texts:
        field = word
        try:
            field = field_of(kind, word)
            value = typed(kind, field, text)
            _refuse_impossible(field, value, text)
            values[field] = value
        except BadInputError as error:
            unread[field] = error.reason
    if kind == "films" and like is None and "family" not in values:
        values["family"] = _family_of(values)
    if kind == "fabrics" and like is None:
        like = _nearest_fabric(values)
    like = like or _LIKE.get(kind) or _LIKE_SHEET.get(str(values.get("kind")))
    if like is not None:
        values["like"] = like
    entry = OwnEntry(kind, name, values)
    return entry, add(entry, store=store, unread=unread)


def _family_of(values: Mapping[str, Any]) -> str:
    """The family of a film that does not say it: seldom on a data sheet, and its finish mostly
    tells it.
    """
    finish = str(next(iter(values.get("finishes") or [""])))
    return FAMILY_OF_FINISH.get(finish, UNKNOWN_FAMILY)


def _in_a_family(entry: OwnEntry) -> OwnEntry:
    """An entry of a list with the family that its film is of; one that ships has its own."""
    is_new = entry.kind == "films" and entry.name not in load_catalogue().films
    if not is_new or not entry.values.keys().isdisjoint({"like", "family"}):
        return entry
    return replace(entry, values={"family": _family_of(entry.values), **entry.values})


def _nearest_fabric(values: Mapping[str, Any]) -> str | None:
    """The fabric that ships of the fibres and the coating that are most alike.

    Its dye and its heat are gone by: polyester taken for cotton would bleed without a word.
    """
    fibres = values.get("fibres")
    if not isinstance(fibres, Mapping):
        return None

    def alike(fabric: Fabric) -> tuple[float, bool, bool]:
        shared = sum(min(one.pct, float(fibres.get(one.fibre.id, 0))) for one in fabric.fibres)
        coated = fabric.coating == values.get("coating", "none")
        return (shared, coated, fabric.construction == values.get("construction", "knit"))

    return max(load_catalogue().fabrics.values(), key=alike).id


def add_stated(
    kind: str, name: str, texts: Iterable[tuple[str, str]], *, like: str | None, store: Path | None
) -> tuple[OwnEntry, Fact]:
    """The same, once what a thing of that kind must say is there, in the words that are asked.

    Raises:
        BadInputError: what must be said is missing, or values cannot be read or used.
    """
    said = [*texts]
    words = dict(said)
    if kind == "fabrics" and not words.get("fibres"):
        raise BadInputError("say its fibres, such as cotton=95;elastane=5", field="fibres")
    if kind == "sheets" and words.get("kind") not in {"cover", "pad"}:
        raise BadInputError("say cover or pad", field="kind")
    if kind == "presses":
        said = _press_texts(said)
    return add_typed(kind, name, said, like=like, store=store)


def _press_texts(said: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """What is said of a press: its platen and its dial as the values that they are."""
    said = [*said]
    ranges = [(word, text) for word, text in said if word == "dial" and text not in DIAL_READS]
    rest = [each for each in said if each[0] != "platen" and each not in ranges]
    words = dict(said)
    if not words.get("platen"):
        raise BadInputError("say the platen's size, such as 380x380", field="platen")
    (area,) = typed("garments", "print_areas", f"platen={words['platen']}")
    if max(area["width_mm"], area["height_mm"]) <= LARGEST_IN_CM:
        raise BadInputError(
            f"{words['platen']!r} is read in mm, and no platen is so small; in centimetres write "
            f"{words['platen']}cm",
            field="platen",
        )
    rest.append(("platen_width_mm", f"{area['width_mm']}"))
    rest.append(("platen_depth_mm", f"{area['height_mm']}"))
    for _, dial in ranges:
        ends = typed("films", "setpoint_c", dial)
        if ends.keys() != {"low", "high"}:
            raise BadInputError(f"{dial!r} has no two ends, as 60-215 has", field="dial")
        _refuse_dial(dial, ends["low"], ends["high"])
        rest += [(f"setpoint_{end}_c", f"{ends[end]}") for end in ("low", "high")]
        if dial.strip().lower().endswith("f"):
            rest += [("dial_reads", "fahrenheit"), ("setpoint_step_c", "5F")]
    if not words.get("pressure"):
        rest.append(("pressure", "unknown"))
    return rest


def _refuse_dial(dial: str, low_c: float, high_c: float) -> None:
    """Refuse ends that no dial has, in the degrees that they were typed in, the others beside."""
    in_f, in_c = Units(fahrenheit=True), Units()
    shown, beside = (in_f, in_c) if dial.strip().lower().endswith("f") else (in_c, in_f)
    wrong = []
    for end, given_c in (("low", low_c), ("high", high_c)):
        limits = Press.model_fields[f"setpoint_{end}_c"].metadata
        least_c = next(one.ge for one in limits if hasattr(one, "ge"))
        most_c = next(one.le for one in limits if hasattr(one, "le"))
        if not least_c <= given_c <= most_c:
            reach = show_c(least_c, most_c)
            wrong.append(
                f"its {end} end is {shown.temperature(given_c)} ({beside.temperature(given_c)}); "
                f"give {reach.shown(shown)} ({reach.shown(beside)})"
            )
    if not low_c < high_c:
        wrong.append("the lower end comes first")
    if wrong:
        raise BadInputError(f"{dial!r}: {'; '.join(wrong)}", field="dial")


def _refuse_impossible(field: str, value: Any, text: str) -> None:
    """Refuse what no film has, before the values that are proposed from it are found wrong too."""
    if not isinstance(value, Mapping) or not all(isinstance(n, float) for n in value.values()):
        return
    numbers = list(value.values())
    if field == "dwell_s" and min(numbers) <= 0:
        raise BadInputError(f"{text!r} is no time to press; give seconds above 0")
    if field == "dwell_s" and max(numbers) > LONGEST_PRESSED_S:
        raise BadInputError(
            f"{text!r} is longer than any film is pressed; give at most {LONGEST_PRESSED_S:g} s"
        )
    if field == "setpoint_c" and max(numbers) > HOTTEST_SETPOINT_C:
        hottest_f = 1.8 * HOTTEST_SETPOINT_C + 32
        raise BadInputError(
            f"{text!r} is beyond what a film bears; give at most {HOTTEST_SETPOINT_C:g} °C or "
            f"{hottest_f:g}F"
        )


def set_typed(name: str, word: str, text: str, *, store: Path | None) -> tuple[str, Fact]:
    """Change one value of a thing on the shelf.

    Returns:
        The name of the value, and the thing.

    Raises:
        BadInputError: there is no such thing or value, or the value is wrong.
    """
    kind = kind_of(name, laid_on_shelf(load_catalogue(), own_entries(store))[0])
    field = field_of(kind, word)
    return field.partition(".")[0], change(name, {field: typed(kind, field, text)}, store=store)


def taken_out(target: Path, kind: str, *, store: Path | None) -> tuple[str, int]:
    """What the shop entered, as a file of that name holds it: all as YAML, or one kind as CSV.

    Returns:
        The text, and how many entries are in it.

    Raises:
        BadInputError: the file is of neither kind.
    """
    entries, table = own_entries(store), _is_table(target)
    text = csv_of(entries, kind) if table else yaml_of(entries)
    return text, sum(not table or entry.kind == kind for entry in entries)


def bring_in(source: Path, kind: str, *, store: Path | None, counts: bool = False) -> TakenIn:
    """Take in a file of entries, all of them or none.

    Args:
        counts: its metres are those that are there now; or else what the shop has counted stays.

    Raises:
        BadInputError: the file cannot be read, or entries are wrong; all of them are told.
    """
    table = _is_table(source)
    text = file_text(source, most_bytes=MOST_BYTES, kind="a list of entries")
    said = str(source)
    try:
        if table:
            rows, wrong = rows_of_csv(text, kind, source=said)
            in_families = [replace(row, entry=_in_a_family(row.entry)) for row in rows]
            return take_in_rows(in_families, store=store, wrong=wrong, counts=counts)
        entries = map(_in_a_family, from_yaml(text, source=said))
        return take_in(entries, store=store, counts=counts)
    except BadInputError as error:
        raise (error if error.source else error.at(source=said)) from None


def unusable(store: Path | None) -> Mapping[tuple[str, str], str]:
    """What the shop entered and the catalogue of today does not bear out, each with why."""
    return laid_on_shelf(load_catalogue(), own_entries(store))[1].unusable


def _is_table(path: Path) -> bool:
    ending = path.suffix.lower()
    if ending not in {".csv", ".yaml", ".yml"}:
        raise BadInputError("must end in .yaml or .csv", source=str(path))
    return ending == ".csv"
