"""Wood against published and computed check values (shared/published/wood.csv)."""

from __future__ import annotations

import pytest
from published import Row, each, rows

from hydrocalc import money, wood
from hydrocalc.tables import table

_BTU_PER_LB = 2326.0  # J/kg, exact
_SEASONED = 100 / 6  # % on the wet basis: 20 % on the dry basis, which the tables of cords reckon with


def _near(row: Row, value: float, tolerance: float | None = None) -> None:
    assert value == pytest.approx(row.value, rel=tolerance or row.tolerance or 1e-12)


def _gravity(species: str) -> float:
    alias = {"black birch": "sweet birch", "hemlock": "eastern hemlock", "basswood": "american basswood"}
    alias |= {"red oak": "northern red oak", "douglas-fir": "douglas-fir (coast)", "grand fir": "grand fir"}
    name = alias.get(species.lower(), species.lower())
    return float(table("species").lookup("specific_gravity", name))


def _evaporation_only(dry_heating_value: float, moisture: float) -> float:
    """BTU per lb as fired where only the wood's own water is taken off, not that of its hydrogen: a form of several public tables."""
    return wood.gross_heating_value.us(dry_heating_value, moisture) - wood.LATENT_HEAT / _BTU_PER_LB * moisture / 100


@each("wood", "cord_stacked_volume", "cord_foot_volume")
def test_a_cord_in_cubic_feet(row: Row) -> None:
    length = 8 if row.quantity == "cord_stacked_volume" else 1
    cords = wood.cords_in_stack.us(length, 4, 4)
    assert cords == pytest.approx(length / 8, rel=1e-12)
    _near(row, wood.stack_length.us(cords, 1, 1))


@each("wood", "cord_metric_volume")
def test_a_cord_in_cubic_metres(row: Row) -> None:
    _near(row, wood.stack_length(1.0, 1.0, 1.0))


@each("wood", "stere_to_cord", "steres_to_cords")
def test_steres(row: Row) -> None:
    _near(row, wood.cords_in_stack(row.number("stere"), 1.0, 1.0))


@each("wood", "face_cord_fraction", "rank_to_cords")
def test_face_cords(row: Row) -> None:
    _near(row, wood.cords_in_stack.us(row.number("length_ft"), row.number("height_ft"), row.number("stick_in") / 12))


@each("wood", "full_cord_price_from_face_cord")
def test_price_of_a_face_cord(row: Row) -> None:
    cords = wood.cords_in_stack.us(8, 4, row.number("stick_in") / 12)
    _near(row, money.cord_price_from_stack.us(row.number("face_price"), cords))


@each("wood", "hhv_oven_dry")
def test_heating_values_of_the_species_table(row: Row) -> None:
    species = "eastern white pine" if row.inputs["species"] == "resinous softwood" else "white oak"
    _near(row, table("species").lookup("heating_value", species) / _BTU_PER_LB)


@each("wood", "evaporation_heat_used_for_wood", "water_latent_heat_77F")
def test_latent_heat(row: Row) -> None:
    _near(row, wood.LATENT_HEAT / _BTU_PER_LB)


@each("wood", "gross_heat_air_dry_per_lb")
def test_heat_of_air_dry_wood(row: Row) -> None:
    _near(row, _evaporation_only(8600, _SEASONED))


@each("wood", "net_heat_dry_basis_evaporation_only")
def test_evaporation_only(row: Row) -> None:
    moisture = wood.wet_basis_moisture.us(100 * row.number("Mdry"))
    _near(row, _evaporation_only(row.number("HHV_dry"), moisture))


@each("wood", "energy_per_weight_vs_oven_dry", "energy_per_volume_vs_oven_dry")
def test_heat_against_that_of_oven_dry_wood(row: Row) -> None:
    moisture = wood.wet_basis_moisture.us(row.number("Mdry_pct"))
    per_weight = _evaporation_only(8600, moisture) / 8600
    per_volume = per_weight / (1 - moisture / 100)  # the same wood weighs so much more
    _near(row, per_weight if "weight" in row.quantity else per_volume)


@each("wood", "density_air_dry", "density_at_12pct")
def test_density(row: Row) -> None:
    moisture = wood.wet_basis_moisture.us(12)
    _near(row, wood.cord_mass.us(_gravity(row.inputs["species"]), moisture, 1.0))


@each("wood", "SG_green_to_12", "specific_gravity_12pct")
def test_specific_gravity(row: Row) -> None:
    _near(row, _gravity(row.inputs["species"]))


_WORKED_FROM_THIS_TABLE = ("WOOD-016", "WOOD-018", "WOOD-022")


@pytest.mark.parametrize("row", [r for r in rows("wood", "uky_weight_per_cord") if r.id not in _WORKED_FROM_THIS_TABLE], ids=lambda r: r.id)
def test_oven_dry_weight_of_a_cord(row: Row) -> None:
    _near(row, wood.cord_mass.us(_gravity(row.inputs["species"]), 0.0, 80.0))


@each("wood", "uky_heat_per_cord")
def test_gross_heat_of_a_cord(row: Row) -> None:
    """The page's heat is its oven-dry weight times 8225 BTU/lb for hardwoods and 8625 for conifers (by its own quotients)."""
    per_pound = 8625 if row.inputs["species"] in ("eastern white pine", "hemlock") else 8225
    _near(row, wood.cord_energy.us(_gravity(row.inputs["species"]), 80.0, per_pound))


# The page gives no solid volume and departs by up to 11 % from the Handbook's densities, up for some species and down for others.
_LOOSE_WEIGHTS = {"douglas-fir": 0.12, "red maple": 0.12, "balsam fir": 0.07, "basswood": 0.06}


@each("wood", "fpl20_weight_per_cord")
def test_air_dry_weight_of_a_cord(row: Row) -> None:
    species = row.inputs["species"]
    _near(row, wood.cord_mass.us(_gravity(species), _SEASONED, 80.0), _LOOSE_WEIGHTS.get(species))


@each("wood", "fpl20_heat_per_cord")
def test_net_heat_of_a_listed_weight(row: Row) -> None:
    """The page takes a flat 6400 BTU per lb; the net heat of hardwood at 20 % (dry basis) is 1.9 % more, hence 3 % where it allows less."""
    assert wood.net_heating_value.us(8600, _SEASONED) == pytest.approx(row.number("btu_per_lb"), rel=0.02)
    _near(row, row.number("weight_lb") * wood.net_heating_value.us(8600, _SEASONED) / 1e6, max(row.tolerance, 0.03))


@each("wood", "usu_heat_per_cord")
def test_heat_of_a_dry_weight(row: Row) -> None:
    """The page's 6950 BTU per lb is within 0.6 % of the evaporation-only form; its heats are rounded to 0.1, another 0.3 %."""
    _near(row, row.number("dry_lb") * _evaporation_only(8600, _SEASONED) / 1e6, 0.012)


@pytest.mark.parametrize("row", [r for r in rows("wood", "kstate_heat_per_cord") if r.id != "WOOD-077"], ids=lambda r: r.id)
def test_net_heat_of_a_cord_by_species(row: Row) -> None:
    alias = {"cottonwood": "eastern cottonwood"}
    species = alias.get(row.inputs["species"], row.inputs["species"])
    # Osage orange is densest and least alike from source to source: 11 % apart here.
    tolerance = 0.12 if species == "osage orange" else None
    _near(row, wood.cord_net_energy.us(_gravity(species), _SEASONED, 80.0, 8600), tolerance)


@each("wood", "Mdry_from_Mwet", "Mdry_from_weights", "Mwet_from_Mdry", "Mwet_from_weights")
def test_moisture(row: Row) -> None:
    if "wet_lb" in row.inputs:
        wet, dry = row.number("wet_lb"), row.number("dry_lb")
        value = (
            wood.dry_basis_moisture((wet - dry) / wet) if row.quantity.startswith("Mdry") else wood.wet_basis_moisture((wet - dry) / dry)
        )
    elif "Mwet" in row.inputs:
        value = wood.dry_basis_moisture(row.number("Mwet"))
    else:
        value = wood.wet_basis_moisture(row.number("Mdry"))
    _near(row, value)


@each("wood", "gross_heat_as_fired")
def test_gross_heat(row: Row) -> None:
    _near(row, wood.gross_heating_value.us(row.number("HHV_dry"), 100 * row.number("Mwet")))


@each("wood", "net_heat_as_fired", "net_heat_as_fired_independent")
def test_net_heat(row: Row) -> None:
    assert row.number("H_frac") == wood.HYDROGEN
    _near(row, wood.net_heating_value.us(row.number("HHV_dry"), 100 * row.number("Mwet")))


@each("wood", "EN_net_calorific_as_received")
def test_net_heat_as_the_european_standard_writes_it(row: Row) -> None:
    """The standard starts from the net heat of dry wood; its 2.443 MJ/kg of water is 2.4423 here, 1e-5 of the result."""
    dry_gross = row.number("qnet_dry_MJkg") + wood.LATENT_HEAT / 1e6 * wood.WATER_OF_HYDROGEN * wood.HYDROGEN
    _near(row, wood.net_heating_value.metric(dry_gross, row.number("M_pct_wet")), 5e-5)


def _flue(row: Row) -> tuple[float, ...]:
    names = (("HHV_dry", 1), ("Mwet", 100), ("excess_air", 100), ("stack_F", 1), ("ref_F", 1))
    return tuple(row.number(name) * scale for name, scale in names)


@each("wood", "recoverable_fraction_of_HHV_stack")
def test_fraction_that_the_stack_leaves(row: Row) -> None:
    _near(row, 1 - wood.stack_loss_fraction.us(*_flue(row)) / 100)


@each("wood", "recoverable_heat_as_fired_stack")
def test_heat_that_the_stack_leaves(row: Row) -> None:
    _near(row, wood.recoverable_heating_value.us(*_flue(row)))


@each("wood", "dry_flue_gas_mass")
def test_dry_flue_gas(row: Row) -> None:
    _near(row, wood.dry_flue_gas(row.number("excess_air")))


def _cord(row: Row) -> tuple[float, float, float]:
    moisture = wood.wet_basis_moisture.us(100 * row.number("Mdry")) if "Mdry" in row.inputs else 0.0
    return row.number("SG12"), moisture, row.number("solid_ft3")


@each("wood", "cord_weight")
def test_weight_of_a_cord(row: Row) -> None:
    _near(row, wood.cord_mass.us(*_cord(row)))


@each("wood", "cord_gross_heat")
def test_gross_heat_of_a_cord_by_density(row: Row) -> None:
    gravity, _, solid = _cord(row)
    _near(row, wood.cord_energy.us(gravity, solid, row.number("HHV_dry")))


@each("wood", "cord_net_heat")
def test_net_heat_of_a_cord_by_density(row: Row) -> None:
    _near(row, wood.cord_net_energy.us(*_cord(row), row.number("HHV_dry")))


@each("wood", "cords_per_year")
def test_cords_of_a_year(row: Row) -> None:
    _near(row, wood.cords_for_heat.us(row.number("useful_MMBtu"), row.number("heat_MMBtu_per_cord"), 100 * row.number("seasonal_eff")))
