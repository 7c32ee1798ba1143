"""What is proposed for the values that an entry of a shop leaves out.

An entry that says everything stands for itself. One that leaves values out is completed by the
first of these that there is: the one that it is ``like``; the one of the same id that it is laid
over, whose other values it keeps as they are; and for a film, the nearest film of its family
(`rules.catalogue.proposed_film`). What is proposed bears the basis ``proposed``, and counts as less
sure (`advisor.heat.unlucky`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel

from rules.catalogue.proposed_fabric import proposed_of_make
from rules.catalogue.proposed_film import DATA_SHEET, name_of, proposed_film, recoloured
from rules.catalogue.written import Written
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.fact import Fact, Window
from rules.facts.film import Film
from rules.facts.sheet import Sheet

__all__ = ["completed"]

Known = TypeVar("Known", bound=Fact)

_AS_MUCH = ((Fabric, "weight_gsm", "thickness_um"), (Sheet, "thickness_um", "takes_up_mm"))
"""What grows with what: cloth of one kind is as dense whatever it weighs, and a pad gives way by
one share of its thickness. Generic."""


def completed(one: Written, model: type[Known], known: Mapping[str, Known]) -> dict[str, Any]:
    """The fields of an entry, with what it leaves out filled in and the basis of each.

    Args:
        known: what stands there already, by id.

    Raises:
        BadInputError: it is like something that there is not, or says too little to go by.

    >>> from rules.catalogue import load_catalogue
    >>> stated = {"id": "our-glitter", "family": "sparkle", "finishes": ["sparkle"],
    ...           "setpoint_c": 155, "dwell_s": 12, "peel": "warm"}
    >>> whole = Film(**completed(Written("ours", stated), Film, load_catalogue().films))
    >>> whole.setpoint_c.high, whole.basis_of("face_um"), whole.takes_film_on_top
    (160.0, 'proposed', 'no')
    """
    fields = dict(one.fields)
    like, name = fields.pop("like", None), fields.get("id")
    own_basis = fields.get("basis", {})
    required = {field for field, info in model.model_fields.items() if info.is_required()}
    whole = like is None and required <= fields.keys()
    if whole or not isinstance(name, str) or not isinstance(own_basis, Mapping):
        return {"basis_default": one.basis, **fields}
    stated = [field for field in fields if field not in {"basis", "basis_default"}]
    rests = dict.fromkeys(stated, fields.get("basis_default", one.basis)) | dict(own_basis)
    laid_over = name in known and like is None
    adds = like is not None or "family" in fields
    if model is Film and adds and not (laid_over and fields.keys().isdisjoint(DATA_SHEET)):
        films: Any = known
        base: Any = None
        if like is not None and (like in films or "family" not in fields):
            base = _like(one, like, films)
        filled = proposed_film(fields, base, films, label=one.label)
        return {**filled, "basis_default": "proposed", "basis": rests}
    if like is not None:
        base = _like(one, like, known)
        filled = _merged(base, fields)
        if isinstance(base, Fabric):
            made = proposed_of_make(base, fields)
            filled |= {field: made[field] for field in made if field not in fields}
        filled["name"] = fields.get("name", name_of(name))
        return {**filled, "basis_default": "proposed", "basis": rests}
    if laid_over:
        base = known[name]
        rests = {**base.basis, **{field: rests[field] for field in rests if field != "id"}}
        return {**_merged(base, fields), "basis_default": base.basis_default, "basis": rests}
    return {"basis_default": one.basis, **fields}


def _within(was: Window, given: Any) -> Any:
    """A window with some of its three numbers changed; a new best one is within it."""
    best = given.get("best") if isinstance(given, Mapping) and len(given) == 1 else given
    if isinstance(best, int | float):
        return {"low": min(was.low, best), "best": best, "high": max(was.high, best)}
    return was.model_dump() | dict(given) if isinstance(given, Mapping) else given


def _like(one: Written, like: object, known: Mapping[str, Known]) -> Known:
    if not isinstance(like, str) or like not in known:
        raise UnknownNameError("thing to be like", str(like), known, source=one.label)
    return known[like]


def _merged(base: Fact, fields: Mapping[str, Any]) -> dict[str, Any]:
    """A fact's values with those of an entry over them; part of a value keeps the other parts."""
    whole = base.values()
    for field, given in fields.items():
        was = whole.get(field)
        if isinstance(was, Window):
            whole[field] = _within(was, given)
        elif isinstance(given, Mapping) and isinstance(was, BaseModel) and "kind" not in given:
            whole[field] = was.model_dump() | dict(given)
        elif field == "colours" and isinstance(given, Mapping):
            whole[field] = recoloured(was or (), given)
        else:
            whole[field] = given
    for kind, given, proposed in _AS_MUCH:
        amount = fields.get(given)
        if isinstance(base, kind) and proposed not in fields and isinstance(amount, int | float):
            whole[proposed] = getattr(base, proposed) * amount / getattr(base, given)
    return whole
