"""Conduction against independent programs, where they are installed: FiPy and pychemengg."""

from __future__ import annotations

import numpy as np
import pytest

from advisor.heat.conduction import configure
from advisor.heat.layers import Boundary, Layer, LayerSide


@pytest.mark.filterwarnings("ignore")
def test_a_film_on_cloth_agrees_with_fipy() -> None:
    # FiPy: Grid1D, TransientTerm, DiffusionTerm; implicit steps of two lengths.
    fipy = pytest.importorskip("fipy", reason="FiPy is not installed")
    film = Layer("film", 80.0, 0.25, 1200.0, 1800.0)
    cloth = Layer("cloth", 400.0, 0.07, 500.0, 1300.0)
    stack = configure([film, cloth], front=Boundary(160.0), back=Boundary(20.0, 0.0))
    seconds = 1.0
    field = stack.field_at(20.0, seconds)

    cells, length_m = 240, 480e-6
    mesh = fipy.Grid1D(nx=cells, dx=length_m / cells)
    x = mesh.cellCenters.value[0]
    in_film = x < 80e-6
    heat = fipy.CellVariable(mesh=mesh, value=np.where(in_film, 1200.0 * 1800.0, 500.0 * 1300.0))
    conductivity = fipy.CellVariable(mesh=mesh, value=np.where(in_film, 0.25, 0.07))
    ends: list[tuple[float, float]] = []
    for steps in (100, 200):
        celsius = fipy.CellVariable(mesh=mesh, value=20.0, hasOld=True)
        celsius.constrain(160.0, mesh.facesLeft)
        flow = fipy.TransientTerm(coeff=heat) == fipy.DiffusionTerm(
            coeff=conductivity.harmonicFaceValue
        )
        for _ in range(steps):
            celsius.updateOld()
            flow.solve(var=celsius, dt=seconds / steps)
        values = celsius.value
        bond = np.interp(80e-6, x, values)
        ends.append((float(bond), float(values[-1])))
    # Implicit Euler errs in proportion to its step: two step lengths give the limit.
    bond_c, back_c = (2 * fine - coarse for coarse, fine in zip(*ends, strict=True))
    assert stack.read(field, LayerSide("film", "back"))[0] == pytest.approx(bond_c, abs=0.15)
    assert stack.read(field, LayerSide("cloth", "back"))[0] == pytest.approx(back_c, abs=0.15)


@pytest.mark.filterwarnings("ignore")
def test_a_slab_cooled_on_both_sides_agrees_with_pychemengg() -> None:
    transient = pytest.importorskip(
        "pychemengg.heattransfer.transient", reason="pychemengg is not installed"
    )
    half_m, h, k, density, capacity = 0.02, 120.0, 110.0, 8530.0, 380.0
    book = transient.NonLumpedSlab(
        thickness=2 * half_m, surfacearea=1.0, volume=2 * half_m, density=density,
        specificheat=capacity, thermalconductivity=k, thermaldiffusivity=None,
        heattransfercoefficient=h, T_infinity=500.0, T_initial=20.0,
    )  # fmt: skip
    book.calc_Bi()
    book.calc_Fo(time=420.0)
    book.calc_eigenvalues()
    slab = Layer("slab", 2 * half_m * 1e6, k, density, capacity)
    stack = configure([slab], front=Boundary(500.0, h), back=Boundary(500.0, h))
    field = stack.field_at(20.0, 420.0)
    for side, depth_m in (("middle", 0.0), ("front", half_m)):
        expected = book.calc_temperature_of_solid_at_time_t(
            time=420.0, xposition_tofindtemp=depth_m
        )
        found = stack.read(field, LayerSide("slab", side))[0]
        assert found == pytest.approx(float(expected), abs=0.1)
