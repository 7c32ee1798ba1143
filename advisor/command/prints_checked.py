"""Prints checked: an order with several prints is read with all that it names, and not planned."""

from __future__ import annotations

from pathlib import Path

from advisor.command import options
from advisor.command.planned import read_prints
from advisor.command.terminal import Terminal

__all__ = ["check_prints"]


def check_prints(job_file: Path, *, as_json: bool) -> None:
    """Read an order, its people, its places and its artwork, and tell what each print is."""
    read = read_prints(job_file, with_looks=True)
    garments = sum(line.quantity for line in read.order.garments)
    prints = [
        {
            "id": one.id,
            "at": one.place.id,
            "what": f"lettering of {one.column}" if one.column else one.job.artwork,
            "widths_mm": [round(line.artwork_width_mm, 1) for line in one.job.garments],
            "garments": sum(line.quantity for line in one.job.garments),
        }
        for one in read.prints
    ]
    if as_json:
        options.show_json(
            {
                "job": read.order.job,
                "prints": prints,
                "people": len(read.people.rows),
                "garments": garments,
                "notes": list(read.people.notes),
            }
        )
        return
    out = Terminal()
    out.line(
        f"{job_file} can be read: {len(prints)} prints on {garments} garments, "
        f"{len(read.people.rows)} people"
    )
    for one in prints:
        out.lines([f"{one['id']}: {one['what']} on {one['garments']} garments"], indent=2)
    out.lines((f"note: {note}" for note in read.people.notes), indent=2)
