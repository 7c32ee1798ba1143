"""Order files: what a person drops on a page becomes an order, and an order becomes a zip."""

from __future__ import annotations

import io
import tempfile
import zipfile
from dataclasses import replace
from pathlib import Path

import yaml

from advisor.artwork.reader import read_artwork
from advisor.job.names_list import SPREADSHEETS, csv_of_sheet
from advisor.job.records.job import Job, Wish, has_prints, job_document, read_job
from advisor.job.saving import safe_name
from advisor.job.sheet import UNREADABLE_ZIP
from rules.errors import BadInputError
from ui.order.of_look import USUAL_GARMENT, usual_line
from ui.order.record import NAMES_FILE, CustomerOrder, own_order, shipped_artwork
from ui.session import catalogue

__all__ = ["MOST_UPLOAD_BYTES", "open_file", "order_file"]

MOST_UPLOAD_BYTES = 2_000_000

SEVERAL_PRINTS = (
    "has several prints on a garment, and these pages plan one. On the command line, where the job "
    "and its files lie: `presslore plan JOB.yaml --ticket ticket.html` gives its press card and a "
    "ticket for the press, `presslore cut JOB.yaml --out DIR` the cut files of every print, "
    "`presslore quote JOB.yaml` its price, and `presslore run done JOB.yaml` says that it is "
    "pressed. For a page, drop a job with one of its artworks"
)


def open_file(name: str, data: bytes, *, now: CustomerOrder) -> CustomerOrder:
    """The order that a dropped file makes.

    An SVG becomes a new job on one garment, at the press and the rates of ``now``; a job file
    reopens its job with the artwork of the zip it lies in, of the demo, or of ``now``; a list of
    names is added to ``now``.

    Raises:
        BadInputError: too large, of another kind, or it cannot be used; one line says why.
    """
    shown = name.replace("\\", "/").rsplit("/", 1)[-1][:80]
    if len(data) > MOST_UPLOAD_BYTES:
        raise BadInputError(
            f"is {len(data) / 1e6:.1f} MB; at most {MOST_UPLOAD_BYTES / 1e6:.0f} MB are taken",
            source=shown,
        )
    kind = shown.rsplit(".", 1)[-1].lower()
    if kind == "svg":
        return _new_job(shown, data, now)
    if kind in {"yaml", "yml", "json"}:
        job = _read_job(data, shown)
        return own_order(job, _artwork_for(job, {}, now, shown), now.names if job.names else "")
    if kind == "zip":
        return _from_zip(shown, data, now)
    if kind == "csv":
        return replace(now, names=_as_text(data, shown))
    if f".{kind}" in SPREADSHEETS:
        return replace(now, names=_sheet_as_csv(data, shown))
    raise BadInputError("is neither an SVG, a job file, a zip nor a list of names", source=shown)


def _sheet_as_csv(data: bytes, shown: str) -> str:
    with tempfile.TemporaryDirectory(prefix="presslore-") as folder:
        path = Path(folder) / "crew.xlsx"
        path.write_bytes(data)
        try:
            return csv_of_sheet(path)
        except BadInputError as error:
            raise BadInputError(error.reason, source=shown) from None


def order_file(order: CustomerOrder) -> bytes:
    """A zip with the job, its artwork and its names: what the page and the command line open.

    >>> from ui.order.record import demo_order
    >>> reopened = open_file("crew.zip", order_file(demo_order()), now=demo_order("bags"))
    >>> reopened == demo_order()
    True
    """
    told = order.job.model_dump(mode="json", exclude_defaults=True)
    told["artwork"] = safe_name(Path(order.job.artwork).stem) + ".svg"
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        text = yaml.safe_dump(told, sort_keys=False, allow_unicode=True)
        archive.writestr(safe_name(order.job.job) + ".yaml", text)
        archive.writestr(told["artwork"], order.svg)
        if order.names:
            archive.writestr(NAMES_FILE, order.names)
    return packed.getvalue()


def _new_job(name: str, svg: bytes, now: CustomerOrder) -> CustomerOrder:
    line = usual_line(USUAL_GARMENT, press=now.job.press, shelf=catalogue())
    flatten = now.job.flatten
    artwork = read_artwork(svg, width_mm=line.artwork_width_mm, flatten=flatten, name=name)
    job = Job(
        job=" ".join(name.rsplit(".", 1)[0].split())[:80] or "job",
        artwork=name,
        looks={piece.fill: Wish(finish="matte") for piece in artwork.pieces},
        garments=(line,),
        press=now.job.press,
        rates=now.job.rates,
        flatten=flatten,
    )
    return CustomerOrder(job, svg)


def _read_job(data: bytes, shown: str) -> Job:
    with tempfile.TemporaryDirectory(prefix="presslore-") as folder:
        path = Path(folder) / "job.yaml"
        path.write_bytes(data)
        try:
            if has_prints(job_document(path)):
                raise BadInputError(SEVERAL_PRINTS, source=shown)
            return read_job(path, catalogue())
        except BadInputError as error:
            raise BadInputError(error.reason, source=shown, field=error.field) from None


def _artwork_for(job: Job, found: dict[str, bytes], now: CustomerOrder, shown: str) -> bytes:
    wanted = job.artwork.replace("\\", "/").rsplit("/", 1)[-1]
    if wanted in found or len(found) == 1:
        return found.get(wanted) or next(iter(found.values()))
    svg = now.svg if wanted == now.job.artwork else shipped_artwork(wanted)
    if svg is None:
        raise BadInputError(
            f"asks for the artwork {wanted[:80]!r}, which did not come with it; put both into one "
            "zip and drop that",
            source=shown,
        )
    return svg


def _from_zip(shown: str, data: bytes, now: CustomerOrder) -> CustomerOrder:
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
        held = {entry.filename: _unpacked(archive, entry, shown) for entry in archive.infolist()}
    except UNREADABLE_ZIP:
        raise BadInputError("is no zip file that can be read", source=shown) from None
    files = {name.rsplit("/", 1)[-1]: content for name, content in held.items()}
    jobs = [name for name in files if name.lower().endswith((".yaml", ".yml", ".json"))]
    if len(jobs) != 1:
        raise BadInputError(
            f"holds {len(jobs) or 'no'} job files; one is needed, with its SVG", source=shown
        )
    job = _read_job(files[jobs[0]], f"{shown}: {jobs[0][:80]}")
    drawings = {name: content for name, content in files.items() if name.lower().endswith(".svg")}
    names = files.get(NAMES_FILE, b"")
    return own_order(job, _artwork_for(job, drawings, now, shown), _as_text(names, shown))


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, shown: str) -> bytes:
    # The size that a zip states can be a lie; no more than this is ever unpacked.
    with archive.open(entry) as stream:
        content = stream.read(MOST_UPLOAD_BYTES + 1)
    if len(content) > MOST_UPLOAD_BYTES or len(archive.infolist()) > 20:
        raise BadInputError("holds more than a job and its artwork", source=shown)
    return content


def _as_text(data: bytes, shown: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInputError("is not UTF-8 text; save it as CSV UTF-8", source=shown) from None
