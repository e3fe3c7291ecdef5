"""Named hydronic functions: each is written once and takes floats, arrays, quantities and worksheet cells alike.

>>> import hydrocalc
>>> round(hydrocalc.us.flow_from_load(62000, 20, 61.2, 1.0), 2)  # BTU/h, °F, lb/ft³, BTU/(lb °F): gpm
6.32

Under its plain name a function takes coherent units (W, °C and K, m, m³/s, kg, J, Pa, s); ``hydrocalc.us`` and
``hydrocalc.metric`` hold the same functions in the units of the trade.
"""

from .named import RangeError as RangeError
from .named import ValidityWarning as ValidityWarning
from .named import catalogue as catalogue

# --- written by tests/namespaces.py: begin
# isort: off
from .liquids import (
    boiling_root as boiling_root,
    boiling_variable as boiling_variable,
    glycol_fraction_offset as glycol_fraction_offset,
    glycol_mass_fraction as glycol_mass_fraction,
    glycol_temperature_offset as glycol_temperature_offset,
    liquid_conductivity as liquid_conductivity,
    liquid_density as liquid_density,
    liquid_freezing_temperature as liquid_freezing_temperature,
    liquid_specific_heat as liquid_specific_heat,
    liquid_viscosity as liquid_viscosity,
    saturation_variable as saturation_variable,
    water_boiling_temperature as water_boiling_temperature,
    water_conductivity as water_conductivity,
    water_density as water_density,
    water_specific_heat as water_specific_heat,
    water_vapor_pressure as water_vapor_pressure,
    water_viscosity as water_viscosity,
)
from .flow import (
    capacity_rate as capacity_rate,
    drop_from_load as drop_from_load,
    flow_from_load as flow_from_load,
    flow_from_velocity as flow_from_velocity,
    load_from_flow as load_from_flow,
    mixed_temperature as mixed_temperature,
    velocity_from_flow as velocity_from_flow,
)
from .friction import (
    contraction_coefficient as contraction_coefficient,
    cv_from_loss_coefficient as cv_from_loss_coefficient,
    enlargement_coefficient as enlargement_coefficient,
    fitting_friction as fitting_friction,
    fitting_head as fitting_head,
    fitting_loss_coefficient as fitting_loss_coefficient,
    friction_factor as friction_factor,
    friction_rough_part as friction_rough_part,
    friction_start as friction_start,
    friction_step as friction_step,
    friction_target as friction_target,
    hazen_williams_gradient as hazen_williams_gradient,
    head_from_pressure as head_from_pressure,
    head_gradient as head_gradient,
    kv_from_loss_coefficient as kv_from_loss_coefficient,
    loss_coefficient_from_cv as loss_coefficient_from_cv,
    loss_coefficient_from_kv as loss_coefficient_from_kv,
    pressure_from_head as pressure_from_head,
    relative_roughness as relative_roughness,
    reynolds_number as reynolds_number,
    scaled_head as scaled_head,
    turbulent_share as turbulent_share,
)
from .pumps import (
    crossing_flow as crossing_flow,
    crossing_slope as crossing_slope,
    net_positive_suction_head as net_positive_suction_head,
    operating_flow as operating_flow,
    pump_head as pump_head,
    pump_linear_coefficient as pump_linear_coefficient,
    pump_power as pump_power,
    pump_square_coefficient as pump_square_coefficient,
    system_head as system_head,
    system_linear_coefficient as system_linear_coefficient,
    system_square_coefficient as system_square_coefficient,
)
from .ground import (
    damping_depth as damping_depth,
    depth_with_surface_film as depth_with_surface_film,
    ground_temperature as ground_temperature,
    layer_resistance as layer_resistance,
    line_equilibrium_temperature as line_equilibrium_temperature,
    line_loss as line_loss,
    line_loss_from_readings as line_loss_from_readings,
    line_outlet_temperature as line_outlet_temperature,
    line_transfer_units as line_transfer_units,
    resistance_ratio as resistance_ratio,
    single_loss_conductance as single_loss_conductance,
    soil_resistance as soil_resistance,
)
from .pair import (
    line_dipole_ratio as line_dipole_ratio,
    mutual_resistance as mutual_resistance,
    pair_difference_correction as pair_difference_correction,
    pair_difference_resistance as pair_difference_resistance,
    pair_exchange_conductance as pair_exchange_conductance,
    pair_loss_conductance as pair_loss_conductance,
    pair_sum_correction as pair_sum_correction,
    pair_sum_resistance as pair_sum_resistance,
)
from .twin import (
    conductivity_contrast as conductivity_contrast,
    twin_closeness as twin_closeness,
    twin_difference_correction as twin_difference_correction,
    twin_difference_resistance as twin_difference_resistance,
    twin_dipole as twin_dipole,
    twin_exchange_conductance as twin_exchange_conductance,
    twin_loss_conductance as twin_loss_conductance,
    twin_mirror_term as twin_mirror_term,
    twin_own_term as twin_own_term,
    twin_spread as twin_spread,
    twin_sum_correction as twin_sum_correction,
    twin_sum_resistance as twin_sum_resistance,
)
from .exchangers import (
    capacity_ratio as capacity_ratio,
    cold_outlet_temperature as cold_outlet_temperature,
    conductance_from_rating as conductance_from_rating,
    counterflow_effectiveness as counterflow_effectiveness,
    counterflow_transfer_units as counterflow_transfer_units,
    crossflow_effectiveness as crossflow_effectiveness,
    effectiveness_from_output as effectiveness_from_output,
    exchanger_output as exchanger_output,
    hot_outlet_temperature as hot_outlet_temperature,
    larger_mixed_effectiveness as larger_mixed_effectiveness,
    log_mean_difference as log_mean_difference,
    parallel_effectiveness as parallel_effectiveness,
    smaller_capacity_rate as smaller_capacity_rate,
    smaller_mixed_effectiveness as smaller_mixed_effectiveness,
    tank_coil_effectiveness as tank_coil_effectiveness,
    transfer_units as transfer_units,
)
from .emitters import (
    air_capacity_rate as air_capacity_rate,
    emitter_excess as emitter_excess,
    emitter_excess_start as emitter_excess_start,
    emitter_excess_step as emitter_excess_step,
    emitter_output as emitter_output,
    excess_for_output as excess_for_output,
    exchanger_water_resistance as exchanger_water_resistance,
    fan_heater_conductance as fan_heater_conductance,
    fan_heater_output as fan_heater_output,
    fan_heater_rate as fan_heater_rate,
    floor_output as floor_output,
    floor_resistance as floor_resistance,
    lowest_water_temperature as lowest_water_temperature,
    mean_water_resistance as mean_water_resistance,
    mean_water_temperature as mean_water_temperature,
)
from .loads import (
    air_density as air_density,
    balance_temperature as balance_temperature,
    conductance_from_fuel as conductance_from_fuel,
    heat_up_time as heat_up_time,
    heat_up_time_losing as heat_up_time_losing,
    hot_water_draw_load as hot_water_draw_load,
    hot_water_energy as hot_water_energy,
    hot_water_share as hot_water_share,
    infiltration_load as infiltration_load,
    monthly_degree_days as monthly_degree_days,
    monthly_spread as monthly_spread,
    net_power as net_power,
    seasonal_heat as seasonal_heat,
    surface_conductance as surface_conductance,
    transmission_load as transmission_load,
)
from .pools import (
    air_vapor_pressure as air_vapor_pressure,
    cover_loss as cover_loss,
    pool_convection_loss as pool_convection_loss,
    pool_evaporation_loss as pool_evaporation_loss,
    pool_radiation_loss as pool_radiation_loss,
    sky_temperature as sky_temperature,
)
from .storage import (
    buffer_volume as buffer_volume,
    burn_time as burn_time,
    charge_buffer_volume as charge_buffer_volume,
    charge_heat as charge_heat,
    charge_mass as charge_mass,
    cooled_temperature as cooled_temperature,
    cooling_constant as cooling_constant,
    cooling_time as cooling_time,
    cycles_per_hour as cycles_per_hour,
    firing_cycle_time as firing_cycle_time,
    firing_share as firing_share,
    idle_time as idle_time,
    month_fuel as month_fuel,
    month_idle_time as month_idle_time,
    recovery_time as recovery_time,
    return_mixing_fraction as return_mixing_fraction,
    shortest_cycle as shortest_cycle,
    stored_heat as stored_heat,
    sustained_output as sustained_output,
    tank_conductance as tank_conductance,
    time_to_boil as time_to_boil,
)
from .pressure import (
    boiling_height as boiling_height,
    expansion_tank_volume as expansion_tank_volume,
    expansion_volume as expansion_volume,
    hot_share as hot_share,
    length_expansion as length_expansion,
    metal_expansion as metal_expansion,
    pressure_at_height as pressure_at_height,
    surface_pressure as surface_pressure,
    tube_pressure_limit as tube_pressure_limit,
    tube_rated_pressure as tube_rated_pressure,
    warm_share as warm_share,
)
from .wood import (
    cord_energy as cord_energy,
    cord_mass as cord_mass,
    cord_net_energy as cord_net_energy,
    cords_for_heat as cords_for_heat,
    cords_in_stack as cords_in_stack,
    dry_basis_moisture as dry_basis_moisture,
    dry_flue_gas as dry_flue_gas,
    efficiency_at_moisture as efficiency_at_moisture,
    flue_water as flue_water,
    flue_water_heat as flue_water_heat,
    green_penalty as green_penalty,
    gross_heating_value as gross_heating_value,
    net_heating_value as net_heating_value,
    recoverable_heating_value as recoverable_heating_value,
    stack_length as stack_length,
    stack_loss_fraction as stack_loss_fraction,
    wet_basis_moisture as wet_basis_moisture,
)
from .money import (
    annual_saving as annual_saving,
    break_even_cord_price as break_even_cord_price,
    cord_price_from_labor as cord_price_from_labor,
    cord_price_from_stack as cord_price_from_stack,
    discounted_payback as discounted_payback,
    fuel_cost as fuel_cost,
    heat_cost as heat_cost,
    heat_price as heat_price,
    net_present_value as net_present_value,
    parity_cord_price as parity_cord_price,
    present_worth_factor as present_worth_factor,
    pump_running_cost as pump_running_cost,
    simple_payback as simple_payback,
    useful_fuel_heat as useful_fuel_heat,
    wood_cost as wood_cost,
)
# isort: on
# --- written by tests/namespaces.py: end

# After the chapters, since they hold what the chapters have registered.
from . import metric as metric  # isort: skip
from . import us as us  # isort: skip
