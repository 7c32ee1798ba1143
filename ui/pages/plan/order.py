"""Order: a job together with its artwork and its list of names, as a person opens and saves it."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path

import yaml

from advisor.artwork.reader import read_artwork
from advisor.job.demo import DEMO_FOLDER, DEMO_JOBS, demo_job
from advisor.job.records.job import Job, Wish, read_job
from advisor.job.saving import safe_name
from rules.errors import BadInputError

__all__ = [
    "MOST_UPLOAD_BYTES", "NAMES_FILE", "OTHER_PLANS", "Order", "demo_order", "folder_of",
    "open_file", "order_file", "order_from_text", "own_order",
]  # fmt: skip

MOST_UPLOAD_BYTES = 2_000_000
NAMES_FILE = "names.csv"
"""The only file of names that a page's job ever refers to, wherever the job came from."""

OTHER_PLANS = "other plans"
"""What is asked of an order to get the plans that differ from the best; see `Desk.ask`."""


@dataclass(frozen=True)
class Order:
    """A job with all that it needs, so that nothing is looked up in the file system.

    Attributes:
        svg: the artwork.
        names: the list of names as CSV text; empty where the garments bear none.
    """

    job: Job
    svg: bytes
    names: str = ""

    @cached_property
    def key(self) -> str:
        """A word that stands for the content: the same for equal orders only."""
        told = self.job.model_dump_json().encode() + b"\0" + self.svg + b"\0" + self.names.encode()
        return hashlib.sha256(told).hexdigest()

    @cached_property
    def is_ready_made(self) -> bool:
        """Whether nothing in it is anyone's own: a demo's title and artwork, and no names."""
        return not self.names and any(
            self.job.job == demo.job.job and self.svg == demo.svg
            for demo in map(demo_order, DEMO_JOBS)
        )

    @property
    def most_width_mm(self) -> float:
        """Width of the artwork on the garment where it is largest."""
        return max(line.artwork_width_mm for line in self.job.garments)

    def as_text(self) -> str:
        """The whole order as one text that ``order_from_text`` takes back."""
        return json.dumps(
            {
                "job": self.job.model_dump(mode="json", exclude_defaults=True),
                "svg": base64.b64encode(self.svg).decode(),
                "names": self.names,
            }
        )


@cache
def demo_order(name: str = DEMO_JOBS[0]) -> Order:
    """A job of the festival with its artwork.

    >>> demo_order("bags").is_ready_made
    True
    """
    job = demo_job(name)
    return Order(job, (DEMO_FOLDER / job.artwork).read_bytes())


def order_from_text(text: str) -> Order:
    """The order that ``Order.as_text`` wrote.

    Raises:
        BadInputError: the text holds no order.

    >>> order_from_text(demo_order().as_text()) == demo_order()
    True
    >>> order_from_text("[]")
    Traceback (most recent call last):
    rules.errors.BadInputError: saved job: cannot be read; take the demo or open a job file
    """
    try:
        told = json.loads(text)
        svg = base64.b64decode(told["svg"], validate=True)
        return own_order(Job.model_validate(told["job"]), svg, str(told.get("names", "")))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise BadInputError(
            "cannot be read; take the demo or open a job file", source="saved job"
        ) from None


def open_file(name: str, data: bytes, *, now: Order) -> Order:
    """The order that a dropped file makes.

    An SVG becomes a new job on the garments of ``now``; a job file reopens its job with the
    artwork of the zip it lies in, of the demo, or of ``now``; a list of names is added to ``now``.

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
    raise BadInputError("is neither an SVG, a job file, a zip nor a CSV list", source=shown)


def order_file(order: Order) -> bytes:
    """A zip with the job, its artwork and its names: what the page and the command line open.

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


@contextmanager
def folder_of(order: Order) -> Iterator[Path]:
    """A folder of its own with the list of names in it, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="presslore-") as folder:
        if order.names:
            (Path(folder) / NAMES_FILE).write_text(order.names, encoding="utf-8")
        yield Path(folder)


def own_order(job: Job, svg: bytes, names: str = "") -> Order:
    """The order, with its job referring to no file of this machine but the list it carries.

    >>> from advisor.job.records.job import Names
    >>> nosy = Names(file="/etc/passwd", box_mm=(0, 0, 50, 9), look=Wish(finish="matte"))
    >>> job = demo_job().model_copy(update={"names": nosy})
    >>> own_order(job, b"").job.names, own_order(job, b"", "name\\nAna").job.names.file
    (None, 'names.csv')
    """
    if job.names is None:
        return Order(job, svg, names)
    if not names:
        return Order(job.model_copy(update={"names": None}), svg)
    kept = job.names.model_copy(update={"file": NAMES_FILE, "font": None})
    return Order(job.model_copy(update={"names": kept}), svg, names)


def _new_job(name: str, svg: bytes, now: Order) -> Order:
    artwork = read_artwork(svg, width_mm=now.most_width_mm, flatten=now.job.flatten, name=name)
    looks = {piece.fill: Wish(finish="matte") for piece in artwork.pieces}
    job = now.job.model_copy(
        update={
            "job": " ".join(name.rsplit(".", 1)[0].split())[:80] or "job",
            "artwork": name,
            "looks": looks,
            "leave_out": (),
            "joints": (),
            "names": None,
        }
    )
    return Order(job, svg)


def _read_job(data: bytes, shown: str) -> Job:
    with tempfile.TemporaryDirectory(prefix="presslore-") as folder:
        path = Path(folder) / "job.yaml"
        path.write_bytes(data)
        try:
            return read_job(path)
        except BadInputError as error:
            raise BadInputError(error.reason, source=shown, field=error.field) from None


def _artwork_for(job: Job, found: dict[str, bytes], now: Order, shown: str) -> bytes:
    wanted = job.artwork.replace("\\", "/").rsplit("/", 1)[-1]
    if wanted in found or len(found) == 1:
        return found.get(wanted) or next(iter(found.values()))
    for demo in (now, *map(demo_order, DEMO_JOBS)):
        if wanted == demo.job.artwork:
            return demo.svg
    raise BadInputError(
        f"asks for the artwork {wanted[:80]!r}, which did not come with it; put both into one zip "
        "and drop that",
        source=shown,
    )


def _from_zip(shown: str, data: bytes, now: Order) -> Order:
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
        held = {entry.filename: _unpacked(archive, entry, shown) for entry in archive.infolist()}
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, zlib.error):
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
