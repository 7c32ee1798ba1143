"""Conduction against its naive twin, marched in time, and against what must hold of any stack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from advisor.heat.conduction import Configuration, configure
from advisor.heat.layers import Boundary, Layer, LayerSide, cell_shares
from rules.errors import BadInputError, UnknownNameError

Floats = NDArray[np.float64]
PLATEN, BED, AIR = Boundary(160.0, 900.0), Boundary(25.0, 60.0), Boundary(22.0, 12.0)


def press_stack() -> list[Layer]:
    """Two films on cloth on a pad, with carrier and cover: what a press holds."""
    return [
        Layer("cover", 100.0, 0.25, 900.0, 1400.0),
        Layer("carrier", 75.0, 0.20, 1360.0, 1000.0, contact_w_m2k=3000.0),
        Layer("upper face", 60.0, 0.25, 1200.0, 1800.0, contact_w_m2k=5000.0),
        Layer("upper glue", 40.0, 0.22, 1200.0, 1700.0),
        Layer("lower face", 80.0, 0.25, 1200.0, 1800.0, contact_w_m2k=4000.0),
        Layer("lower glue", 50.0, 0.22, 1200.0, 1700.0),
        Layer("cloth", 450.0, 0.07, 500.0, 1300.0, contact_w_m2k=2000.0),
        Layer("pad", 8000.0, 0.05, 150.0, 1500.0, contact_w_m2k=500.0),
    ]


def march(
    layers: Sequence[Layer], front: Boundary, back: Boundary, initial_c: float, times: Floats
) -> dict[LayerSide, Floats]:
    """The naive twin: nodes on the faces, lumped mass, an implicit integrator in small steps.

    It shares no line and no mesh with the solver: nodes where that has cells, fluxes between nodes
    where that has half cells, and a node of its own on either side of a contact.
    """
    links: list[float] = []
    heats: list[float] = []
    faces: dict[LayerSide, int] = {}
    for number, layer in enumerate(layers):
        # A twelfth of a layer or a thirtieth of how far heat travels in half a second.
        length_um = np.sqrt(float(layer.diffusivity_m2_s) * 0.5) * 1e6
        pieces = 12 + int(np.ceil(30.0 * float(layer.thickness_um) / length_um))
        step_m = float(layer.thickness_um) * 1e-6 / pieces
        node_heat = step_m * float(layer.density_kg_m3) * float(layer.heat_capacity_j_kgk)
        if number == 0 or layer.contact_w_m2k is not None:
            if number:
                links.append(float(layer.contact_w_m2k or 0.0))
            heats.append(0.0)
        faces[LayerSide(layer.name, "front")] = len(heats) - 1
        heats[-1] += node_heat / 2
        links += [float(layer.conductivity_w_mk) / step_m] * pieces
        heats += [node_heat] * (pieces - 1) + [node_heat / 2]
        faces[LayerSide(layer.name, "back")] = len(heats) - 1
    link, heat = np.array(links), np.array(heats)
    held = [end.conductance_w_m2k is None for end in (front, back)]
    supply = [
        0.0 if h else float(e.conductance_w_m2k or 0.0)
        for h, e in zip(held, (front, back), strict=True)
    ]

    def change(_: float, celsius: Floats) -> Floats:
        flow = link * np.diff(celsius)
        gain = np.zeros_like(celsius)
        gain[:-1] += flow
        gain[1:] -= flow
        gain[0] += supply[0] * (float(front.temperature_c) - celsius[0])
        gain[-1] += supply[1] * (float(back.temperature_c) - celsius[-1])
        rate = gain / heat
        rate[[0, -1]] = np.where(held, 0.0, rate[[0, -1]])
        return np.asarray(rate)

    start = np.full(heat.size, initial_c)
    start[[0, -1]] = np.where(
        held, [float(end.temperature_c) for end in (front, back)], start[[0, -1]]
    )
    beside = (link / heat[1:], link / heat[:-1])
    middle = np.zeros(heat.size)
    middle[1:] -= beside[0]
    middle[:-1] -= beside[1]
    middle[[0, -1]] -= np.array(supply) / heat[[0, -1]]
    for end, is_held in zip((0, -1), held, strict=True):
        if is_held:
            middle[end] = beside[1 + end][end] = 0.0
    jacobian = diags_array([beside[0], middle, beside[1]], offsets=[-1, 0, 1], format="csc")
    marched = solve_ivp(
        change, (0.0, times[-1]), start, method="BDF", t_eval=times, jac=jacobian,
        rtol=1e-6, atol=1e-5,
    )  # fmt: skip
    return {place: marched.y[node] for place, node in faces.items()}


def refined(layers: Sequence[Layer], front: Boundary, back: Boundary) -> Configuration:
    cells = [cell_shares(layer, first_cell=0.03, growth=1.05) for layer in layers]
    return configure(layers, front=front, back=back, shares=cells)


conductivity = st.floats(0.03, 1.0)
layer_numbers = st.tuples(
    st.floats(20.0, 1500.0), conductivity, st.floats(60.0, 2500.0), st.floats(800.0, 2200.0),
    st.one_of(st.none(), st.floats(100.0, 20_000.0)),
)  # fmt: skip
stacks = st.lists(layer_numbers, min_size=1, max_size=5).map(
    lambda rows: [Layer(f"layer {n}", *row) for n, row in enumerate(rows)]
)
fronts = st.builds(
    Boundary, st.floats(100.0, 200.0), st.one_of(st.none(), st.floats(200.0, 5000.0))
)
backs = st.builds(Boundary, st.floats(15.0, 40.0), st.one_of(st.just(0.0), st.floats(5.0, 500.0)))


@pytest.mark.slow
@settings(max_examples=25, deadline=None, derandomize=True)
@given(layers=stacks, front=fronts, back=backs)
def test_any_stack_agrees_with_the_marched_twin(
    layers: list[Layer], front: Boundary, back: Boundary
) -> None:
    times = np.array([0.5, 2.0, 8.0, 30.0])
    stack = refined(layers, front, back)
    field = stack.field_at(20.0, times)
    for place, expected in march(layers, front, back, 20.0, times).items():
        assert stack.read(field, place) == pytest.approx(expected, abs=0.05), place


def test_a_press_stack_with_the_default_cells_is_within_a_tenth_of_a_degree() -> None:
    layers, times = press_stack(), np.array([0.5, 1.0, 2.0, 5.0, 10.0, 20.0])
    stack = configure(layers, front=PLATEN, back=BED)
    field = stack.field_at(20.0, times)
    twin = march(layers, PLATEN, BED, 20.0, times)
    for layer in layers:
        for side in ("front", "back"):
            place = LayerSide(layer.name, side)
            assert stack.read(field, place) == pytest.approx(twin[place], abs=0.1), place


def test_cells_for_longer_times_err_little_from_those_times_on() -> None:
    # What `chain` says of following many samples with cells for 2 s.
    times = np.array([2.0, 3.0, 5.0, 10.0, 20.0])
    fine = refined(press_stack(), PLATEN, BED)
    coarse = configure(press_stack(), front=PLATEN, back=BED, resolve_s=2.0)
    assert coarse.starts[-1] < 50
    for layer in press_stack()[:-1]:
        place = LayerSide(layer.name, "back")
        exact = fine.read(fine.field_at(20.0, times), place)
        assert coarse.read(coarse.field_at(20.0, times), place) == pytest.approx(exact, abs=0.3)


def test_halving_every_cell_quarters_the_error() -> None:
    layers = press_stack()[1:7]
    place, times = LayerSide("lower glue", "back"), np.array([1.0, 4.0])

    def read(cells: int) -> Floats:
        shares = [np.full(cells, 1 / cells)] * len(layers)
        stack = configure(layers, front=PLATEN, back=BED, shares=shares)
        return stack.read(stack.field_at(20.0, times), place)

    exact = read(256)
    errors = [np.abs(read(cells) - exact) for cells in (4, 8, 16)]
    for coarse, fine in pairwise(errors):
        assert coarse / fine == pytest.approx(4.0, rel=0.1)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(layers=stacks, hot=st.floats(50.0, 200.0))
def test_a_closed_stack_keeps_its_heat_and_ends_at_its_mean(
    layers: list[Layer], hot: float
) -> None:
    closed = Boundary(500.0, 0.0)
    stack = configure(layers, front=closed, back=closed)
    start = np.linspace(hot, 20.0, stack.starts[-1])
    times = np.array([0.0, 0.1, 10.0, 1e7])
    field = stack.field_at(start, times)
    heat = field @ stack.heat_j_m2k
    assert heat == pytest.approx(start @ stack.heat_j_m2k, rel=1e-11)
    mean_c = heat[0] / stack.heat_j_m2k.sum()
    assert field[-1] == pytest.approx(mean_c, abs=1e-6)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(layers=stacks, front=fronts, back=backs)
def test_no_place_leaves_the_range_of_what_surrounds_it_and_heating_never_reverses(
    layers: list[Layer], front: Boundary, back: Boundary
) -> None:
    stack = configure(layers, front=front, back=back)
    coldest = float(back.temperature_c)
    field = stack.field_at(coldest, np.geomspace(1e-3, 1e4, 60))
    assert field.min() >= coldest - 1e-8
    assert field.max() <= float(front.temperature_c) + 1e-8
    assert np.diff(field, axis=0).min() >= -1e-8
    assert np.diff(field, axis=1).max() <= 1e-8


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (Boundary(160.0, 2000.0), Boundary(160.0, 500.0)),
        (Boundary(165.0, 900.0), Boundary(160.0, 900.0)),
        (Boundary(160.0), Boundary(160.0, 20_000.0)),
    ],
    ids=["contact", "setpoint", "perfect contact"],
)
def test_better_contact_or_a_hotter_platen_warms_every_place(
    better: Boundary, worse: Boundary
) -> None:
    times = np.array([0.5, 2.0, 10.0, 60.0])
    warm, cool = (
        configure(press_stack(), front=front, back=BED).field_at(20.0, times)
        for front in (better, worse)
    )
    early, late = (warm - cool)[0], (warm - cool)[-1]
    assert early.min() > -1e-9  # the pad has not heard of it yet
    assert late.min() > 0.01


def test_a_held_surface_is_the_limit_of_ever_better_contact() -> None:
    held = configure(press_stack(), front=Boundary(160.0), back=BED)
    near = configure(press_stack(), front=Boundary(160.0, 1e9), back=BED)
    times = [0.5, 5.0, 50.0]
    assert held.field_at(20.0, times) == pytest.approx(near.field_at(20.0, times), abs=1e-3)
    assert held.read(held.field_at(20.0, times), LayerSide("cover", "front")) == pytest.approx(
        160.0
    )


def test_a_layer_cut_in_two_is_the_layer() -> None:
    whole = [Layer("cloth", 600.0, 0.07, 500.0, 1300.0)]
    halves = [replace(whole[0], name=name, thickness_um=300.0) for name in ("upper", "lower")]
    cells = np.full(20, 1 / 20)
    one = configure(whole, front=PLATEN, back=BED, shares=[np.repeat(cells / 2, 2)])
    two = configure(halves, front=PLATEN, back=BED, shares=[cells, cells])
    times = [0.0, 0.3, 3.0, 30.0]
    assert two.field_at(20.0, times) == pytest.approx(one.field_at(20.0, times), abs=1e-9)


def test_a_stack_turned_over_is_the_stack_turned_over() -> None:
    layers = [replace(layer, contact_w_m2k=None) for layer in press_stack()]
    one = configure(layers, front=PLATEN, back=BED)
    other = configure(layers[::-1], front=BED, back=PLATEN)
    times = [0.5, 5.0, 50.0]
    turned = other.field_at(20.0, times)[:, ::-1]
    assert turned == pytest.approx(one.field_at(20.0, times), abs=1e-9)


def test_a_batch_of_samples_equals_each_sample_alone() -> None:
    random = np.random.default_rng(7)
    count = 5
    spread = {
        name: random.uniform(0.7, 1.3, count) for name in ("thick", "contact", "k", "platen", "bed")
    }
    times = [0.0, 0.1, 0.5, 5.0, 60.0, 0.05]

    def stack(pick: slice | int) -> tuple[list[Layer], Boundary, Boundary]:
        layers = press_stack()
        layers[3] = replace(layers[3], thickness_um=40.0 * spread["thick"][pick])
        layers[6] = replace(layers[6], contact_w_m2k=2000.0 * spread["contact"][pick])
        layers[7] = replace(layers[7], conductivity_w_mk=0.05 * spread["k"][pick])
        platen = Boundary(160.0 * spread["platen"][pick], 900.0)
        return layers, platen, Boundary(25.0, 60.0 * spread["bed"][pick])

    shares = [cell_shares(layer) for layer in press_stack()]
    layers, front, back = stack(slice(None))
    batch = configure(layers, front=front, back=back, shares=shares)
    fields = batch.field_at(20.0, times)
    assert fields.shape == (count, 6, batch.starts[-1])
    for n in range(count):
        layers, front, back = stack(n)
        alone = configure(layers, front=front, back=back, shares=shares)
        # Samples are followed by an integral, not by modes: a hundredth of a kelvin apart.
        assert fields[n] == pytest.approx(alone.field_at(20.0, times), abs=0.02)
        for place in (
            LayerSide("upper glue"),
            LayerSide("cover", "front"),
            LayerSide("pad", "middle"),
        ):
            one = alone.read(alone.field_at(20.0, times), place)
            assert batch.read(fields, place)[n] == pytest.approx(one, abs=0.02)


def test_temperature_is_linear_in_what_drives_it() -> None:
    stack = configure(press_stack(), front=PLATEN, back=BED)
    scaled = configure(
        press_stack(),
        front=Boundary(320.0, PLATEN.conductance_w_m2k),
        back=Boundary(50.0, BED.conductance_w_m2k),
    )
    assert scaled.field_at(40.0, [1.0, 9.0]) == pytest.approx(2 * stack.field_at(20.0, [1.0, 9.0]))


def test_slow_modes_survive_next_to_a_foil_a_million_times_faster() -> None:
    foils = [Layer(f"foil {n}", 1.0, 160.0, 2800.0, 880.0) for n in range(3)]
    ground = Layer("ground", 5e6, 0.52, 2050.0, 1840.0)
    cells = [*(np.full(4, 0.25) for _ in foils), cell_shares(ground, resolve_s=1e6)]
    months = np.array([5e6, 2e7, 1e8])
    stack = configure(
        [*foils, ground], front=Boundary(-15.0), back=Boundary(20.0, 0.0), shares=cells,
        horizon_s=1e8,
    )  # fmt: skip
    bare = configure([ground], front=Boundary(-15.0), back=Boundary(20.0, 0.0), shares=cells[-1:])
    read = stack.read(stack.field_at(20.0, months), LayerSide("ground", "back"))
    expected = bare.read(bare.field_at(20.0, months), LayerSide("ground", "back"))
    assert read == pytest.approx(expected, abs=1e-3)


def test_a_place_in_no_layer_is_refused_with_the_nearest_name() -> None:
    stack = configure(press_stack(), front=PLATEN, back=BED)
    with pytest.raises(
        UnknownNameError, match="no layer is called 'uper glue'; nearest: upper glue"
    ):
        stack.read(stack.steady_c[None], LayerSide("uper glue"))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"thickness_um": 0.0},
            r"cloth\.thickness_um: is 0; it must be above 0 and at most 1e\+09",
        ),
        ({"conductivity_w_mk": -0.1}, r"cloth\.conductivity_w_mk: is -0\.1; it must be above 0"),
        ({"density_kg_m3": float("nan")}, r"cloth\.density_kg_m3: is nan; it must be above 0"),
        (
            {"heat_capacity_j_kgk": 1e10},
            r"cloth\.heat_capacity_j_kgk: is 1e\+10; .* at most 1e\+09",
        ),
        ({"contact_w_m2k": 0.0}, r"cloth\.contact_w_m2k: is 0; it must be above 0"),
        (
            {"thickness_um": np.array([100.0, -3.0])},
            r"cloth\.thickness_um: is -3; it must be above 0",
        ),
    ],
)
def test_nonsense_in_a_layer_is_refused(change: dict[str, float], message: str) -> None:
    numbers = {
        "thickness_um": 400.0, "conductivity_w_mk": 0.07, "density_kg_m3": 500.0,
        "heat_capacity_j_kgk": 1300.0,
    }  # fmt: skip
    with pytest.raises(BadInputError, match=message):
        Layer("cloth", **(numbers | change))


def test_stacks_that_cannot_be_are_refused() -> None:
    cloth = press_stack()[6]
    with pytest.raises(BadInputError, match="needs at least one layer"):
        configure([], front=PLATEN, back=BED)
    with pytest.raises(BadInputError, match="names 'cloth' twice"):
        configure([cloth, cloth], front=PLATEN, back=BED)
    uneven = replace(cloth, thickness_um=np.array([1.0, 2.0]))
    with pytest.raises(BadInputError, match="samples need arrays of one length"):
        configure([uneven], front=Boundary(np.array([1.0, 2.0, 3.0])), back=BED)
    with pytest.raises(BadInputError, match=r"temperature_c: is -300; it must be from -273\.15"):
        Boundary(-300.0)
