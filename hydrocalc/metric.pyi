"""Every named function in metric trade units.  Written by tests/namespaces.py."""

from .measures import (
    AirFlow,
    Area,
    AreaResistance,
    Bore,
    Conductance,
    ConductancePerArea,
    ConductancePerLength,
    Conductivity,
    CordEnergy,
    Cords,
    Days,
    DegreeDays,
    Density,
    Diffusivity,
    ElectricityPrice,
    ElectricPower,
    Energy,
    ExpansionCoefficient,
    Fitting,
    Fraction_,
    FuelAmount,
    FuelEnergy,
    Head,
    HeadGradient,
    HeadPerFlow,
    HeadPerFlowSquared,
    HeatingValue,
    HeatPerLength,
    Length,
    LineResistance,
    Liquid,
    Mass,
    Minutes,
    Money,
    MoneyPerCord,
    MoneyPerEnergy,
    MoneyPerTime,
    MoneyPerUnit,
    PerHour,
    Power,
    Pressure,
    Ratio,
    Resistance,
    SeasonEnergy,
    Space,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    Time,
    TubeFamily,
    Velocity,
    Viscosity,
    Volume,
    VolumeFlow,
    Years,
)

def water_density(temperature: Temperature) -> Density:
    """Density of water, in kg/m³.

    temperature: of the water [°C]
    """

def water_specific_heat(temperature: Temperature) -> SpecificHeat:
    """Specific heat of water at constant pressure, in kJ/(kg K).

    temperature: of the water [°C]
    """

def water_viscosity(temperature: Temperature) -> Viscosity:
    """Dynamic viscosity of water, in mPa s.

    temperature: of the water [°C]
    """

def water_conductivity(temperature: Temperature) -> Conductivity:
    """Thermal conductivity of water, in W/(m K).

    temperature: of the water [°C]
    """

def saturation_variable(temperature: Temperature) -> Ratio:
    """Transformed temperature of the saturation line.

    temperature: of the water [°C]
    """

def water_vapor_pressure(temperature: Temperature) -> Pressure:
    """Vapor pressure of water, absolute, in kPa.

    temperature: of the water [°C]
    """

def boiling_root(pressure: Pressure) -> Ratio:
    """Fourth root of a pressure in MPa.

    pressure: absolute [kPa]
    """

def boiling_variable(pressure: Pressure) -> Ratio:
    """Transformed pressure of the saturation line.

    pressure: absolute [kPa]
    """

def water_boiling_temperature(pressure: Pressure) -> Temperature:
    """Temperature at which water boils, in °C.

    pressure: absolute [kPa]
    """

def glycol_fraction_offset(liquid: Liquid, glycol_fraction: Fraction_) -> Ratio:
    """Percent of glycol by mass, less the middle of Melinder's data.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass [%]
    """

def glycol_temperature_offset(liquid: Liquid, temperature: Temperature) -> TemperatureDifference:
    """Temperature less the middle of Melinder's data, in K.

    liquid: name in the table of liquids
    temperature: of the liquid [°C]
    """

def liquid_density(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> Density:
    """Density of a liquid, in kg/m³.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing [%]
    temperature: of the liquid [°C]
    """

def liquid_specific_heat(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> SpecificHeat:
    """Specific heat of a liquid at constant pressure, in kJ/(kg K).

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing [%]
    temperature: of the liquid [°C]
    """

def liquid_viscosity(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> Viscosity:
    """Dynamic viscosity of a liquid, in mPa s.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing [%]
    temperature: of the liquid [°C]
    """

def liquid_conductivity(liquid: Liquid, glycol_fraction: Fraction_, temperature: Temperature) -> Conductivity:
    """Thermal conductivity of a liquid, in W/(m K).

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing [%]
    temperature: of the liquid [°C]
    """

def liquid_freezing_temperature(liquid: Liquid, glycol_fraction: Fraction_) -> Temperature:
    """Temperature at which the first ice forms in a liquid, in °C.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing [%]
    """

def glycol_mass_fraction(liquid: Liquid, volume_fraction: Fraction_) -> Fraction_:
    """Glycol by mass from glycol by volume, in %.

    liquid: name in the table of liquids
    volume_fraction: glycol by volume, measured before mixing [%]
    """

def flow_from_load(load: Power, drop: TemperatureDifference, density: Density, specific_heat: SpecificHeat) -> VolumeFlow:
    """Flow that carries a heat load at a temperature drop, in L/min.

    load: heat carried by the liquid [kW]
    drop: supply temperature less return temperature [K]
    density: of the liquid, at the temperature where the flow is measured [kg/m³]
    specific_heat: of the liquid, at its mean temperature [kJ/(kg K)]
    """

def load_from_flow(flow: VolumeFlow, drop: TemperatureDifference, density: Density, specific_heat: SpecificHeat) -> Power:
    """Heat load that a flow carries at a temperature drop, in kW.

    flow: of the liquid [L/min]
    drop: supply temperature less return temperature [K]
    density: of the liquid, at the temperature where the flow is measured [kg/m³]
    specific_heat: of the liquid, at its mean temperature [kJ/(kg K)]
    """

def drop_from_load(load: Power, flow: VolumeFlow, density: Density, specific_heat: SpecificHeat) -> TemperatureDifference:
    """Temperature drop at which a flow gives up a heat load, in K.

    load: heat given up by the liquid [kW]
    flow: of the liquid [L/min]
    density: of the liquid, at the temperature where the flow is measured [kg/m³]
    specific_heat: of the liquid, at its mean temperature [kJ/(kg K)]
    """

def velocity_from_flow(flow: VolumeFlow, bore: Bore) -> Velocity:
    """Mean velocity of a flow in a tube, in m/s.

    flow: of the liquid [L/min]
    bore: inside diameter of the tube [mm]
    """

def flow_from_velocity(velocity: Velocity, bore: Bore) -> VolumeFlow:
    """Flow in a tube at a mean velocity, in L/min.

    velocity: mean over the bore [m/s]
    bore: inside diameter of the tube [mm]
    """

def capacity_rate(flow: VolumeFlow, density: Density, specific_heat: SpecificHeat) -> Conductance:
    """Heat that a flow carries per degree, in W/K.

    flow: of the liquid [L/min]
    density: of the liquid, at the temperature where the flow is measured [kg/m³]
    specific_heat: of the liquid [kJ/(kg K)]
    """

def mixed_temperature(flow_a: VolumeFlow, temperature_a: Temperature, flow_b: VolumeFlow, temperature_b: Temperature) -> Temperature:
    """Temperature of two flows mixed, in °C.

    flow_a: one flow [L/min]
    temperature_a: of the one flow [°C]
    flow_b: the other flow, of the same liquid [L/min]
    temperature_b: of the other flow [°C]
    """

def reynolds_number(velocity: Velocity, bore: Bore, density: Density, viscosity: Viscosity) -> Ratio:
    """Reynolds number of the flow in a tube.

    velocity: mean over the bore [m/s]
    bore: inside diameter of the tube [mm]
    density: of the liquid [kg/m³]
    viscosity: of the liquid, dynamic [mPa s]
    """

def relative_roughness(roughness: Bore, bore: Bore) -> Ratio:
    """Roughness of a tube's wall as a share of its bore.

    roughness: height of the wall's grain [mm]
    bore: inside diameter of the tube [mm]
    """

def friction_rough_part(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """Roughness' part in the argument of Colebrook's logarithm.

    reynolds: Reynolds number, turbulent
    relative_roughness: of the tube's wall
    """

def friction_target(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """One more than what the argument of Colebrook's logarithm and its logarithm sum to.

    reynolds: Reynolds number, turbulent
    relative_roughness: of the tube's wall
    """

def friction_start(target: Ratio) -> Ratio:
    """First value of the argument of Colebrook's logarithm.

    target: one more than what the argument and its logarithm sum to
    """

def friction_step(argument: Ratio, target: Ratio) -> Ratio:
    """Better value of the argument of Colebrook's logarithm.

    argument: value so far
    target: one more than what the argument and its logarithm sum to
    """

def turbulent_share(reynolds: Ratio) -> Ratio:
    """How far the flow is on its way from laminar to turbulent.

    reynolds: Reynolds number
    """

def friction_factor(reynolds: Ratio, relative_roughness: Ratio) -> Ratio:
    """Friction factor of Darcy.

    reynolds: Reynolds number; 0 in still water
    relative_roughness: of the tube's wall
    """

def head_gradient(velocity: Velocity, bore: Bore, friction_factor: Ratio) -> HeadGradient:
    """Head lost to friction per length of tube, in m per 100 m.

    velocity: mean over the bore [m/s]
    bore: inside diameter of the tube [mm]
    friction_factor: of Darcy
    """

def fitting_head(velocity: Velocity, loss_coefficient: Ratio) -> Head:
    """Head lost in a fitting, in m.

    velocity: mean over the bore [m/s]
    loss_coefficient: K of the fitting, or the sum of several
    """

def fitting_friction(bore: Bore) -> Ratio:
    """Friction factor of a fitting's size, fully turbulent.

    bore: inside diameter of the steel pipe that the fitting belongs to [mm]
    """

def fitting_loss_coefficient(fitting: Fitting, bore: Bore) -> Ratio:
    """Loss coefficient K of a fitting.

    fitting: its name in the table of fittings
    bore: inside diameter of the steel pipe that the fitting belongs to [mm]
    """

def scaled_head(flow: VolumeFlow, rated_flow: VolumeFlow, rated_head: Head) -> Head:
    """Head of a part at another flow than its rating, in m.

    flow: through the part [L/min]
    rated_flow: at which the maker states the head [L/min]
    rated_head: lost in the part at the rated flow [m]
    """

def pressure_from_head(head: Head, density: Density) -> Pressure:
    """Pressure of a head of liquid, in kPa.

    head: height of liquid [m]
    density: of the liquid [kg/m³]
    """

def head_from_pressure(pressure: Pressure, density: Density) -> Head:
    """Head of liquid of a pressure, in m.

    pressure: pressure, or a difference of pressures [kPa]
    density: of the liquid [kg/m³]
    """

def hazen_williams_gradient(flow: VolumeFlow, bore: Bore, coefficient: Ratio) -> HeadGradient:
    """Head lost per length by the rule of Hazen and Williams, in m per 100 m.

    flow: of the liquid [L/min]
    bore: inside diameter of the tube [mm]
    coefficient: C of the tube, 150 for plastic, 140 for copper, 120 for steel
    """

def pump_square_coefficient(
    shutoff_head: Head, mid_flow: VolumeFlow, mid_head: Head, high_flow: VolumeFlow, high_head: Head
) -> HeadPerFlowSquared:
    """Square coefficient of a pump's curve, in m per (L/min)².

    shutoff_head: at no flow [m]
    mid_flow: near the middle of the curve [L/min]
    mid_head: at that flow [m]
    high_flow: near the end of the curve [L/min]
    high_head: at that flow [m]
    """

def pump_linear_coefficient(
    shutoff_head: Head, mid_flow: VolumeFlow, mid_head: Head, high_flow: VolumeFlow, high_head: Head
) -> HeadPerFlow:
    """Linear coefficient of a pump's curve, in m per L/min.

    shutoff_head: at no flow [m]
    mid_flow: near the middle of the curve [L/min]
    mid_head: at that flow [m]
    high_flow: near the end of the curve [L/min]
    high_head: at that flow [m]
    """

def pump_head(flow: VolumeFlow, shutoff_head: Head, mid_flow: VolumeFlow, mid_head: Head, high_flow: VolumeFlow, high_head: Head) -> Head:
    """Head of a pump at a flow, in m.

    flow: through the pump [L/min]
    shutoff_head: at no flow [m]
    mid_flow: near the middle of the curve [L/min]
    mid_head: at that flow [m]
    high_flow: near the end of the curve [L/min]
    high_head: at that flow [m]
    """

def system_square_coefficient(static_head: Head, flow_a: VolumeFlow, head_a: Head, flow_b: VolumeFlow, head_b: Head) -> HeadPerFlowSquared:
    """Square coefficient of a system's curve, in m per (L/min)².

    static_head: at no flow; 0 in a closed loop [m]
    flow_a: one flow [L/min]
    head_a: that the system takes at that flow [m]
    flow_b: another flow [L/min]
    head_b: that the system takes at that flow [m]
    """

def system_linear_coefficient(static_head: Head, flow_a: VolumeFlow, head_a: Head, flow_b: VolumeFlow, head_b: Head) -> HeadPerFlow:
    """Linear coefficient of a system's curve, in m per L/min.

    static_head: at no flow; 0 in a closed loop [m]
    flow_a: one flow [L/min]
    head_a: that the system takes at that flow [m]
    flow_b: another flow [L/min]
    head_b: that the system takes at that flow [m]
    """

def system_head(flow: VolumeFlow, static_head: Head, linear: HeadPerFlow, square: HeadPerFlowSquared) -> Head:
    """Head that a system takes at a flow, in m.

    flow: through the system [L/min]
    static_head: at no flow; 0 in a closed loop [m]
    linear: linear coefficient of the system's curve [m per L/min]
    square: square coefficient of the system's curve [m per (L/min)²]
    """

def crossing_slope(surplus: Head, linear: HeadPerFlow, square: HeadPerFlowSquared) -> HeadPerFlow:
    """Slope by which pump and system cross, in m per L/min.

    surplus: shut-off head of the pump less static head of the system [m]
    linear: linear coefficient of the system less that of the pump [m per L/min]
    square: square coefficient of the system less that of the pump [m per (L/min)²]
    """

def crossing_flow(surplus: Head, linear: HeadPerFlow, square: HeadPerFlowSquared) -> VolumeFlow:
    """Flow at which square * flow² + linear * flow uses up a surplus of head, in L/min.

    surplus: shut-off head of the pump less static head of the system [m]
    linear: linear coefficient of the system less that of the pump [m per L/min]
    square: square coefficient of the system less that of the pump [m per (L/min)²]
    """

def operating_flow(
    shutoff_head: Head,
    pump_linear: HeadPerFlow,
    pump_square: HeadPerFlowSquared,
    static_head: Head,
    system_linear: HeadPerFlow,
    system_square: HeadPerFlowSquared,
) -> VolumeFlow:
    """Flow at which a pump's curve meets a system's, in L/min.

    shutoff_head: of the pump, at no flow [m]
    pump_linear: linear coefficient of the pump's curve [m per L/min]
    pump_square: square coefficient of the pump's curve, negative for a curve that bends down [m per (L/min)²]
    static_head: of the system, at no flow; 0 in a closed loop [m]
    system_linear: linear coefficient of the system's curve [m per L/min]
    system_square: square coefficient of the system's curve [m per (L/min)²]
    """

def pump_power(flow: VolumeFlow, head: Head, density: Density, efficiency: Fraction_) -> ElectricPower:
    """Power that a pump takes, in W.

    flow: through the pump [L/min]
    head: of the pump [m]
    density: of the liquid [kg/m³]
    efficiency: of pump and motor together for the power at the plug; of the pump alone for that at the shaft [%]
    """

def net_positive_suction_head(
    surface_pressure: Pressure, static_head: Head, friction_head: Head, vapor_pressure: Pressure, density: Density
) -> Head:
    """Net positive suction head available at a pump, in m.

    surface_pressure: absolute, on the water the pump draws from [kPa]
    static_head: height of that water above the pump; negative where the pump stands above it [m]
    friction_head: lost between the water and the pump [m]
    vapor_pressure: of the water at its temperature, absolute [kPa]
    density: of the water [kg/m³]
    """

def damping_depth(diffusivity: Diffusivity) -> Length:
    """Depth at which the yearly swing of the ground has shrunk to 37 %, in m.

    diffusivity: of the soil [m²/day]
    """

def ground_temperature(
    depth: Length, day: Days, mean_temperature: Temperature, amplitude: TemperatureDifference, coldest_day: Days, diffusivity: Diffusivity
) -> Temperature:
    """Undisturbed ground temperature at a depth on a day of the year, in °C.

    depth: below the surface [m]
    day: of the year [day]
    mean_temperature: yearly mean of the ground's surface, near that of the air [°C]
    amplitude: half the yearly swing of the surface, from mean to coldest [K]
    coldest_day: day of the year when the surface is coldest [day]
    diffusivity: of the soil [m²/day]
    """

def depth_with_surface_film(depth: Length, conductivity: Conductivity) -> Length:
    """Depth that stands for the soil and the film of air above it, in m.

    depth: from the surface to the centre of the line [m]
    conductivity: of the soil [W/(m K)]
    """

def layer_resistance(inner_diameter: Bore, outer_diameter: Bore, conductivity: Conductivity) -> LineResistance:
    """Thermal resistance of a round layer: a tube's wall, a jacket, in m K/W.

    inner_diameter: of the layer [mm]
    outer_diameter: of the layer; equal to the inner one, there is no layer and no resistance [mm]
    conductivity: of the layer's material; a wet jacket has that of a wet jacket [W/(m K)]
    """

def soil_resistance(depth: Length, outer_diameter: Bore, conductivity: Conductivity) -> LineResistance:
    """Thermal resistance of the soil between one buried line and the ground's surface, in m K/W.

    depth: from the surface to the centre of the line [m]
    outer_diameter: of the line, over its jacket [mm]
    conductivity: of the soil [W/(m K)]
    """

def single_loss_conductance(line_resistance: LineResistance, soil_resistance: LineResistance) -> ConductancePerLength:
    """Heat that one line alone loses per length and degree, in W/(m K).

    line_resistance: of the tube's wall and the jacket together [m K/W]
    soil_resistance: from the line to the ground's surface [m K/W]
    """

def line_loss(
    temperature: Temperature, ground_temperature: Temperature, line_resistance: LineResistance, soil_resistance: LineResistance
) -> HeatPerLength:
    """Heat that one buried line loses per length, in W/m.

    temperature: of the water [°C]
    ground_temperature: undisturbed, at the depth of the line [°C]
    line_resistance: of the tube's wall and the jacket together [m K/W]
    soil_resistance: from the line to the ground's surface [m K/W]
    """

def resistance_ratio(resistance: LineResistance, conductivity: Conductivity) -> Ratio:
    """Resistance of a round layer as a multiple of the scale of what lies round it.

    resistance: of the layer [m K/W]
    conductivity: of what lies round it [W/(m K)]
    """

def line_equilibrium_temperature(
    ground_temperature: Temperature,
    other_temperature: Temperature,
    loss_conductance: ConductancePerLength,
    exchange_conductance: ConductancePerLength,
) -> Temperature:
    """Temperature that standing water in a line would take, in °C.

    ground_temperature: undisturbed, at the depth of the line [°C]
    other_temperature: of the line beside it [°C]
    loss_conductance: of the line to the ground [W/(m K)]
    exchange_conductance: between the lines; 0 for one line alone [W/(m K)]
    """

def line_transfer_units(
    length: Length,
    loss_conductance: ConductancePerLength,
    exchange_conductance: ConductancePerLength,
    flow: VolumeFlow,
    density: Density,
    specific_heat: SpecificHeat,
) -> Ratio:
    """Conductance of a whole line against the heat its water carries per degree.

    length: of the line, one way [m]
    loss_conductance: of the line to the ground [W/(m K)]
    exchange_conductance: between the lines; 0 for one line alone [W/(m K)]
    flow: in the line; without one the number is 1000, as good as endless [L/min]
    density: of the liquid [kg/m³]
    specific_heat: of the liquid [kJ/(kg K)]
    """

def line_outlet_temperature(
    inlet_temperature: Temperature,
    ground_temperature: Temperature,
    other_temperature: Temperature,
    length: Length,
    loss_conductance: ConductancePerLength,
    exchange_conductance: ConductancePerLength,
    flow: VolumeFlow,
    density: Density,
    specific_heat: SpecificHeat,
) -> Temperature:
    """Temperature of the water at the end of a buried line, in °C.

    inlet_temperature: of the water where it enters [°C]
    ground_temperature: undisturbed, at the depth of the line [°C]
    other_temperature: mean of the line beside it [°C]
    length: of the line, one way [m]
    loss_conductance: of the line to the ground [W/(m K)]
    exchange_conductance: between the lines; 0 for one line alone [W/(m K)]
    flow: in the line; with none the water takes the temperature that standing water would [L/min]
    density: of the liquid [kg/m³]
    specific_heat: of the liquid [kJ/(kg K)]
    """

def line_loss_from_readings(
    flow: VolumeFlow, inlet_temperature: Temperature, outlet_temperature: Temperature, density: Density, specific_heat: SpecificHeat
) -> Power:
    """Heat that a line loses, as a thermometer at each end says, in kW.

    flow: in the line [L/min]
    inlet_temperature: read where the water enters [°C]
    outlet_temperature: read where it leaves; above the other, the loss is negative [°C]
    density: of the liquid [kg/m³]
    specific_heat: of the liquid [kJ/(kg K)]
    """

def line_dipole_ratio(
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> Ratio:
    """Resistance of a line to heat that enters on one side and leaves on the other, over that of the soil.

    tube_diameter: outside, of the tube [mm]
    jacket_diameter: outside [mm]
    wall_resistance: of the tube's wall [m K/W]
    insulation_conductivity: of the jacket [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def mutual_resistance(depth: Length, spacing: Bore, soil_conductivity: Conductivity) -> LineResistance:
    """Resistance by which two buried lines warm each other, in m K/W.

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    soil_conductivity: of the soil [W/(m K)]
    """

def pair_sum_correction(depth: Length, spacing: Bore, outer_diameter: Bore, dipole_ratio: Ratio) -> Ratio:
    """First-order correction for two lines equally warm.

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    outer_diameter: of each line, over its jacket [mm]
    dipole_ratio: of the line to the soil, for heat that passes through it
    """

def pair_difference_correction(depth: Length, spacing: Bore, outer_diameter: Bore, dipole_ratio: Ratio) -> Ratio:
    """First-order correction for two lines, one as much above the ground as the other below.

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    outer_diameter: of each line, over its jacket [mm]
    dipole_ratio: of the line to the soil, for heat that passes through it
    """

def pair_sum_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two lines equally warm, in m K/W.

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside, of each jacket [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jackets [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def pair_difference_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two lines, one as much above the ground as the other below, in m K/W.

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside, of each jacket [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jackets [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def pair_loss_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that each of two lines side by side loses to the ground per length and degree, in W/(m K).

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside, of each jacket [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jackets [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def pair_exchange_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that passes between two lines side by side per length and degree, in W/(m K).

    depth: from the surface to the centres [m]
    spacing: from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside, of each jacket [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jackets [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def twin_closeness(tube_diameter: Bore, spacing: Bore) -> Ratio:
    """Radius of a tube against the distance to the other's centre.

    tube_diameter: outside, of each tube [mm]
    spacing: of the tubes, from centre to centre [mm]
    """

def twin_spread(spacing: Bore, jacket_diameter: Bore) -> Ratio:
    """Distance of the tubes from the jacket's centre against the jacket's radius.

    spacing: of the tubes, from centre to centre [mm]
    jacket_diameter: outside [mm]
    """

def conductivity_contrast(insulation_conductivity: Conductivity, soil_conductivity: Conductivity) -> Ratio:
    """Contrast of two conductivities: -1 for perfect insulation, 0 for equals.

    insulation_conductivity: of the jacket [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def twin_dipole(closeness: Ratio, wall_ratio: Ratio) -> Ratio:
    """How strongly a tube bends the heat that flows round it: a tube whose wall resists bends it less.

    closeness: radius of a tube against the distance to the other's centre
    wall_ratio: resistance of the tube's wall against that of the jacket's scale
    """

def twin_own_term(closeness: Ratio, wall_ratio: Ratio) -> Ratio:
    """Resistance of two tubes of opposite temperatures in an endless jacket, without their walls and dipoles, over the jacket's scale.

    closeness: radius of a tube against the distance to the other's centre
    wall_ratio: resistance of the tube's wall against that of the jacket's scale
    """

def twin_sum_correction(dipole: Ratio, spread: Ratio, contrast: Ratio) -> Ratio:
    """First-order correction for two tubes in one jacket, equally warm.

    dipole: how strongly a tube bends the heat that flows round it
    spread: distance of the tubes from the jacket's centre against its radius
    contrast: of the conductivities of jacket and soil
    """

def twin_mirror_term(depth: Length, spacing: Bore, jacket_diameter: Bore, contrast: Ratio) -> Ratio:
    """Strength of the jacket's mirror image above the ground, where the tubes lie.

    depth: from the surface to the jacket's centre [m]
    spacing: of the tubes, from centre to centre [mm]
    jacket_diameter: outside [mm]
    contrast: of the conductivities of jacket and soil
    """

def twin_difference_correction(dipole: Ratio, spread: Ratio, contrast: Ratio, mirror: Ratio) -> Ratio:
    """First-order correction for two tubes in one jacket, one as much above the ground as the other below.

    dipole: how strongly a tube bends the heat that flows round it
    spread: distance of the tubes from the jacket's centre against its radius
    contrast: of the conductivities of jacket and soil
    mirror: strength of the jacket's mirror image where the tubes lie
    """

def twin_sum_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance from each of two tubes in one jacket, equally warm, to the ground, in m K/W.

    depth: from the surface to the jacket's centre [m]
    spacing: of the tubes, from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jacket [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def twin_difference_resistance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> LineResistance:
    """Resistance of each of two tubes in one jacket, one as much above the ground as the other below, in m K/W.

    depth: from the surface to the jacket's centre [m]
    spacing: of the tubes, from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jacket [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def twin_loss_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that each of two tubes in one round jacket loses to the ground per length and degree, in W/(m K).

    depth: from the surface to the jacket's centre [m]
    spacing: of the tubes, from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jacket [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def twin_exchange_conductance(
    depth: Length,
    spacing: Bore,
    tube_diameter: Bore,
    jacket_diameter: Bore,
    wall_resistance: LineResistance,
    insulation_conductivity: Conductivity,
    soil_conductivity: Conductivity,
) -> ConductancePerLength:
    """Heat that passes between two tubes in one round jacket per length and degree, in W/(m K).

    depth: from the surface to the jacket's centre [m]
    spacing: of the tubes, from centre to centre [mm]
    tube_diameter: outside, of each tube [mm]
    jacket_diameter: outside [mm]
    wall_resistance: of each tube's wall [m K/W]
    insulation_conductivity: of the jacket [W/(m K)]
    soil_conductivity: of the soil [W/(m K)]
    """

def log_mean_difference(hot_in: Temperature, hot_out: Temperature, cold_in: Temperature, cold_out: Temperature) -> TemperatureDifference:
    """Logarithmic mean of the differences at the two ends of a counterflow exchanger, in K.

    hot_in: hot liquid, entering [°C]
    hot_out: hot liquid, leaving [°C]
    cold_in: cold liquid, entering [°C]
    cold_out: cold liquid, leaving [°C]
    """

def conductance_from_rating(
    load: Power, hot_in: Temperature, hot_out: Temperature, cold_in: Temperature, cold_out: Temperature
) -> Conductance:
    """Conductance of a counterflow exchanger, from its rating, in W/K.

    load: heat exchanged at the rating [kW]
    hot_in: hot liquid, entering [°C]
    hot_out: hot liquid, leaving [°C]
    cold_in: cold liquid, entering [°C]
    cold_out: cold liquid, leaving [°C]
    """

def smaller_capacity_rate(hot_capacity_rate: Conductance, cold_capacity_rate: Conductance) -> Conductance:
    """Smaller capacity rate of an exchanger, in W/K.

    hot_capacity_rate: hot side's flow * density * specific heat [W/K]
    cold_capacity_rate: cold side's flow * density * specific heat [W/K]
    """

def capacity_ratio(hot_capacity_rate: Conductance, cold_capacity_rate: Conductance) -> Ratio:
    """Smaller capacity rate of an exchanger over the larger.

    hot_capacity_rate: hot side's flow * density * specific heat [W/K]
    cold_capacity_rate: cold side's flow * density * specific heat [W/K]
    """

def transfer_units(conductance: Conductance, smaller_capacity_rate: Conductance) -> Ratio:
    """Number of transfer units of an exchanger.

    conductance: of the exchanger [W/K]
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat [W/K]
    """

def counterflow_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a counterflow exchanger, in %.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger
    """

def parallel_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of an exchanger whose two flows run the same way, in %.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger
    """

def tank_coil_effectiveness(transfer_units: Ratio) -> Fraction_:
    """Effectiveness of a coil in a tank of one temperature, in %.

    transfer_units: conductance over the capacity rate of the coil's flow
    """

def crossflow_effectiveness(transfer_units: Ratio, capacity_ratio: Ratio) -> Fraction_:
    """Effectiveness of a crossflow exchanger, neither side mixed, in %.

    transfer_units: conductance over the smaller capacity rate
    capacity_ratio: smaller capacity rate over the larger
    """

def counterflow_transfer_units(effectiveness: Fraction_, capacity_ratio: Ratio) -> Ratio:
    """Transfer units that give a counterflow exchanger its effectiveness.

    effectiveness: heat exchanged over the most that could be [%]
    capacity_ratio: smaller capacity rate over the larger
    """

def effectiveness_from_output(output: Power, smaller_capacity_rate: Conductance, hot_in: Temperature, cold_in: Temperature) -> Fraction_:
    """Effectiveness of an exchanger, from what it exchanges, in %.

    output: heat exchanged [kW]
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat [W/K]
    hot_in: hot side, entering [°C]
    cold_in: cold side, entering [°C]
    """

def exchanger_output(effectiveness: Fraction_, smaller_capacity_rate: Conductance, hot_in: Temperature, cold_in: Temperature) -> Power:
    """Heat that an exchanger gives its cold side, in kW.

    effectiveness: heat exchanged over the most that could be [%]
    smaller_capacity_rate: the smaller of the two sides' flow * density * specific heat [W/K]
    hot_in: hot side, entering [°C]
    cold_in: cold side, entering [°C]
    """

def hot_outlet_temperature(hot_in: Temperature, output: Power, hot_capacity_rate: Conductance) -> Temperature:
    """Temperature at which the hot side leaves an exchanger, in °C.

    hot_in: hot side, entering [°C]
    output: heat exchanged [kW]
    hot_capacity_rate: hot side's flow * density * specific heat [W/K]
    """

def cold_outlet_temperature(cold_in: Temperature, output: Power, cold_capacity_rate: Conductance) -> Temperature:
    """Temperature at which the cold side leaves an exchanger, in °C.

    cold_in: cold side, entering [°C]
    output: heat exchanged [kW]
    cold_capacity_rate: cold side's flow * density * specific heat [W/K]
    """

def mean_water_temperature(supply: Temperature, return_: Temperature) -> Temperature:
    """Mean water temperature of an emitter, in °C.

    supply: water entering [°C]
    return_: water leaving [°C]
    """

def emitter_output(rated_output: Power, rated_excess: TemperatureDifference, excess: TemperatureDifference, exponent: Ratio) -> Power:
    """Output of an emitter at an excess of its mean water over the room, in kW.

    rated_output: at the rated excess [kW]
    rated_excess: mean water less room air at the rating [K]
    excess: mean water less room air; at or below 0 nothing is given [K]
    exponent: of the emitter, see the table of emitters
    """

def excess_for_output(output: Power, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio) -> TemperatureDifference:
    """Excess of the mean water over the room at which an emitter gives an output, in K.

    output: wanted [kW]
    rated_output: at the rated excess [kW]
    rated_excess: mean water less room air at the rating [K]
    exponent: of the emitter
    """

def mean_water_resistance(capacity_rate: Conductance) -> Resistance:
    """Degrees that arriving water is above the mean water, for each unit of output, direct, in K/W.

    capacity_rate: heat that the emitter's flow carries per degree; with none next to nothing is given [W/K]
    """

def exchanger_water_resistance(
    effectiveness: Fraction_, smaller_capacity_rate: Conductance, second_capacity_rate: Conductance
) -> Resistance:
    """Degrees that arriving water is above the mean water, for each unit of output, behind an exchanger, in K/W.

    effectiveness: of the exchanger [%]
    smaller_capacity_rate: smaller of the capacity rates of its two sides [W/K]
    second_capacity_rate: of the emitter's own loop [W/K]
    """

def emitter_excess_start(
    available: TemperatureDifference, resistance: Resistance, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio
) -> TemperatureDifference:
    """Excess of the mean water over the room, first estimate, in K.

    available: arriving water less room; at or below 0 nothing is given [K]
    resistance: degrees from the arriving to the mean water for each unit of output [K/W]
    rated_output: at the rated excess [kW]
    rated_excess: mean water less room air at the rating [K]
    exponent: of the emitter
    """

def emitter_excess_step(
    excess: TemperatureDifference,
    available: TemperatureDifference,
    resistance: Resistance,
    rated_output: Power,
    rated_excess: TemperatureDifference,
    exponent: Ratio,
) -> TemperatureDifference:
    """Excess of the mean water over the room, one Newton step nearer, in K.

    excess: estimate to be refined [K]
    available: arriving water less room; at or below 0 nothing is given [K]
    resistance: degrees from the arriving to the mean water for each unit of output [K/W]
    rated_output: at the rated excess [kW]
    rated_excess: mean water less room air at the rating [K]
    exponent: of the emitter
    """

def emitter_excess(
    available: TemperatureDifference, resistance: Resistance, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio
) -> TemperatureDifference:
    """Excess of the mean water over the room at the water that arrives, in K.

    available: arriving water less room; at or below 0 nothing is given [K]
    resistance: degrees from the arriving to the mean water for each unit of output [K/W]
    rated_output: at the rated excess [kW]
    rated_excess: mean water less room air at the rating [K]
    exponent: of the emitter
    """

def lowest_water_temperature(
    room: Temperature, need: Power, resistance: Resistance, rated_output: Power, rated_excess: TemperatureDifference, exponent: Ratio
) -> Temperature:
    """Lowest arriving water at which an emitter covers a need, in °C.

    room: air temperature [°C]
    need: output wanted [kW]
    resistance: degrees from the arriving to the mean water for each unit of output [K/W]
    rated_output: at the rated excess [kW]
    rated_excess: mean water less room air at the rating [K]
    exponent: of the emitter
    """

def fan_heater_output(
    rated_output: Power,
    rated_entering_water: Temperature,
    rated_entering_air: Temperature,
    entering_water: Temperature,
    entering_air: Temperature,
) -> Power:
    """Output of a fan heater by plain proportion, at its rated flows, in kW.

    rated_output: at the rated temperatures [kW]
    rated_entering_water: water entering at the rating [°C]
    rated_entering_air: air entering at the rating [°C]
    entering_water: water entering; no hotter than the air it gives nothing [°C]
    entering_air: air entering [°C]
    """

def air_capacity_rate(air_flow: AirFlow, air_density: Density) -> Conductance:
    """Heat that a flow of air carries per degree, in W/K.

    air_flow: of the air [L/s]
    air_density: of the air where its flow is measured, as by ``air_density`` at an elevation [kg/m³]
    """

def fan_heater_conductance(
    rated_output: Power,
    rated_entering_water: Temperature,
    rated_entering_air: Temperature,
    water_capacity_rate: Conductance,
    air_capacity_rate: Conductance,
) -> Conductance:
    """Conductance of a fan heater or duct coil from its rating, in W/K.

    rated_output: at the rated temperatures and flows [kW]
    rated_entering_water: water entering at the rating [°C]
    rated_entering_air: air entering at the rating [°C]
    water_capacity_rate: of the rated water flow [W/K]
    air_capacity_rate: of the rated air flow [W/K]
    """

def fan_heater_rate(conductance: Conductance, water_capacity_rate: Conductance, air_capacity_rate: Conductance) -> Conductance:
    """Output of a fan heater for each degree of entering water over entering air, in W/K.

    conductance: of its coil [W/K]
    water_capacity_rate: of the water flow that it gets [W/K]
    air_capacity_rate: of its air flow [W/K]
    """

def floor_output(area: Area, floor_temperature: Temperature, room_temperature: Temperature) -> Power:
    """Output of a heated floor at its surface temperature, in kW.

    area: of the floor that gives heat [m²]
    floor_temperature: mean of the surface; 29 °C is the limit where people stay (EN 1264) [°C]
    room_temperature: of the room; no colder than the floor, nothing is given [°C]
    """

def floor_resistance(area: Area, slab_resistance: AreaResistance, covering_resistance: AreaResistance) -> Resistance:
    """Degrees that the mean water of a floor is above its surface, for each unit of output, in K/W.

    area: of the floor that gives heat [m²]
    slab_resistance: from the water to the covering [m² K/W]
    covering_resistance: of the covering, see the table of floor coverings [m² K/W]
    """

def transmission_load(conductance: Conductance, indoor: Temperature, outdoor: Temperature) -> Power:
    """Heat that a building loses through its envelope, in kW.

    conductance: of the building, its air changes included where they are not reckoned apart [W/K]
    indoor: room temperature [°C]
    outdoor: air temperature; above that of the room the loss is negative, a gain [°C]
    """

def surface_conductance(area: Area, resistance: AreaResistance) -> Conductance:
    """Conductance of a wall, a window or a cover, in W/K.

    area: of the surface [m²]
    resistance: of one unit of area, the films of air included [m² K/W]
    """

def air_density(temperature: Temperature, pressure: Pressure) -> Density:
    """Density of dry air, in kg/m³.

    temperature: of the air [°C]
    pressure: absolute, as by ``surface_pressure`` at an elevation [kPa]
    """

def infiltration_load(volume: Space, air_changes: PerHour, indoor: Temperature, outdoor: Temperature, air_density: Density) -> Power:
    """Heat that the outdoor air entering a building takes, in kW.

    volume: of the heated rooms [m³]
    air_changes: times in an hour that the air is exchanged [per hour]
    indoor: room temperature [°C]
    outdoor: air temperature [°C]
    air_density: of the air; 0.075 lb/ft³ is the trade's figure near sea level [kg/m³]
    """

def conductance_from_fuel(fuel_heat: SeasonEnergy, efficiency: Fraction_, degree_days: DegreeDays, other_heat: SeasonEnergy) -> Conductance:
    """Conductance of a building from the fuel that it burnt, in W/K.

    fuel_heat: heat in the fuel, on the basis of the efficiency [kWh]
    efficiency: seasonal, of what burnt it [%]
    degree_days: of the time in which it was burnt, at the building's balance temperature [K day]
    other_heat: useful heat of it that did not heat the building, such as hot water [kWh]
    """

def seasonal_heat(conductance: Conductance, degree_days: DegreeDays) -> SeasonEnergy:
    """Heat that a building needs over a month or a season, in kWh.

    conductance: of the building [W/K]
    degree_days: of the time, at the building's balance temperature [K day]
    """

def balance_temperature(indoor: Temperature, gains: Power, conductance: Conductance) -> Temperature:
    """Outdoor temperature at which a building needs no heat, in °C.

    indoor: room temperature [°C]
    gains: heat from sun, people and appliances [kW]
    conductance: of the building [W/K]
    """

def monthly_spread(mean_temperature: Temperature, yearly_spread: TemperatureDifference, days: Days) -> TemperatureDifference:
    """Spread of the days of a month about their mean temperature, as the degree days see it, in K.

    mean_temperature: of the air over the month [°C]
    yearly_spread: standard deviation of the twelve monthly means about that of the year, their number the divisor [K]
    days: in the month [day]
    """

def monthly_degree_days(mean_temperature: Temperature, base_temperature: Temperature, days: Days) -> DegreeDays:
    """Heating degree days of a month from its mean temperature, in K day.

    mean_temperature: of the air over the month [°C]
    base_temperature: from which the degrees are counted, the balance temperature of the building [°C]
    days: in the month [day]
    """

def hot_water_energy(volume: Volume, cold: Temperature, hot: Temperature) -> Energy:
    """Heat that drawn hot water takes, in kWh.

    volume: drawn, as metered hot [L]
    cold: temperature of the main or the well [°C]
    hot: temperature at the tap [°C]
    """

def hot_water_draw_load(flow: VolumeFlow, cold: Temperature, hot: Temperature) -> Power:
    """Heat that hot water takes while it is drawn, in kW.

    flow: drawn, as metered hot [L/min]
    cold: temperature of the main or the well [°C]
    hot: temperature at the tap [°C]
    """

def hot_water_share(outlet: Temperature, cold: Temperature, wanted: Temperature) -> Fraction_:
    """Share of the hot water's heat that an exchanger on the cold feed carries, in %.

    outlet: of the exchanger, domestic side; colder than the feed it carries nothing [°C]
    cold: temperature of the main or the well [°C]
    wanted: temperature at the tap [°C]
    """

def heat_up_time(
    volume: Volume, start: Temperature, finish: Temperature, power: Power, loss: Power, density: Density, specific_heat: SpecificHeat
) -> Time:
    """Time to heat water at a steady loss, in h.

    volume: of the water [L]
    start: temperature at the beginning [°C]
    finish: temperature wanted [°C]
    power: heat put in [kW]
    loss: heat lost meanwhile, on the average; at or above the power it takes for ever, 100,000 hours [kW]
    density: of the water where its volume is measured [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def net_power(power: Power, conductance: Conductance, temperature: Temperature, surroundings: Temperature) -> Power:
    """Heat that is left to warm water after its losses, in kW.

    power: heat put in [kW]
    conductance: of the water's vessel to its surroundings [W/K]
    temperature: of the water [°C]
    surroundings: temperature about the vessel [°C]
    """

def heat_up_time_losing(
    volume: Volume,
    start: Temperature,
    finish: Temperature,
    power: Power,
    conductance: Conductance,
    surroundings: Temperature,
    density: Density,
    specific_heat: SpecificHeat,
) -> Time:
    """Time to heat water that loses more the hotter it gets, in h.

    volume: of the water [L]
    start: temperature at the beginning [°C]
    finish: temperature wanted; where the losses eat all the power before, it takes for ever, 100,000 hours [°C]
    power: heat put in [kW]
    conductance: of the water's vessel to its surroundings [W/K]
    surroundings: temperature about the vessel [°C]
    density: of the water where its volume is measured [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def air_vapor_pressure(air_temperature: Temperature, relative_humidity: Fraction_) -> Pressure:
    """Pressure of the water vapor in air, in kPa.

    air_temperature: of the air [°C]
    relative_humidity: of the air [%]
    """

def pool_evaporation_loss(
    area: Area, water_temperature: Temperature, air_temperature: Temperature, relative_humidity: Fraction_, wind: Velocity, activity: Ratio
) -> Power:
    """Heat that a pool loses by evaporation, in kW.

    area: of the water's surface [m²]
    water_temperature: of the water [°C]
    air_temperature: of the air over it [°C]
    relative_humidity: of that air [%]
    wind: speed of the air over the water [m/s]
    activity: 1 for a pool in use, 0.5 for one at rest at a house (ASHRAE, from memory)
    """

def pool_convection_loss(area: Area, water_temperature: Temperature, air_temperature: Temperature, wind: Velocity) -> Power:
    """Heat that a pool loses to the air by convection, in kW.

    area: of the water's surface [m²]
    water_temperature: of the water [°C]
    air_temperature: of the air over it; warmer than the water, the loss is negative [°C]
    wind: speed of the air over the water [m/s]
    """

def sky_temperature(air_temperature: Temperature) -> Temperature:
    """Temperature of the sky as a radiator, in °C.

    air_temperature: near the ground [°C]
    """

def pool_radiation_loss(area: Area, water_temperature: Temperature, sky_temperature: Temperature) -> Power:
    """Heat that a pool radiates to the sky, in kW.

    area: of the water's surface [m²]
    water_temperature: of the water [°C]
    sky_temperature: of what it faces: the sky, or the ceiling of a room [°C]
    """

def cover_loss(area: Area, cover_resistance: AreaResistance, water_temperature: Temperature, air_temperature: Temperature) -> Power:
    """Heat that a covered pool loses through its cover, in kW.

    area: of the cover [m²]
    cover_resistance: of the cover itself; 0 leaves the film of air alone [m² K/W]
    water_temperature: under the cover [°C]
    air_temperature: over it [°C]
    """

def stored_heat(volume: Volume, low: Temperature, high: Temperature, density: Density, specific_heat: SpecificHeat) -> Energy:
    """Heat that water stores between two temperatures, in kWh.

    volume: of the water [L]
    low: where the store is empty; equal to high, it holds nothing [°C]
    high: where the store is full [°C]
    density: of the water where its volume is measured [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def recovery_time(stored_heat: Energy, firing_rate: Power, load: Power) -> Minutes:
    """Time that a firing takes to fill the band, in min.

    stored_heat: of the band [kWh]
    firing_rate: heat of the fire to the water [kW]
    load: heat that is taken meanwhile; at or above the firing rate the band never fills [kW]
    """

def idle_time(stored_heat: Energy, load: Power) -> Minutes:
    """Time that the band carries the load while the fire rests, in min.

    stored_heat: of the band [kWh]
    load: heat that is taken, the jacket's loss included; with none the band lasts for ever [kW]
    """

def firing_cycle_time(stored_heat: Energy, firing_rate: Power, load: Power) -> Minutes:
    """Time from one firing to the next, in min.

    stored_heat: of the band [kWh]
    firing_rate: heat of the fire to the water [kW]
    load: heat that is taken [kW]
    """

def shortest_cycle(stored_heat: Energy, firing_rate: Power) -> Minutes:
    """Shortest time from one firing to the next, at a load of half the firing rate, in min.

    stored_heat: of the band [kWh]
    firing_rate: heat of the fire to the water [kW]
    """

def cycles_per_hour(firing_cycle_time: Minutes) -> PerHour:
    """Firings in an hour, in per hour.

    firing_cycle_time: from one firing to the next [min]
    """

def firing_share(firing_rate: Power, load: Power) -> Fraction_:
    """Share of the time that the fire burns, in %.

    firing_rate: heat of the fire to the water [kW]
    load: heat that is taken; at or above the firing rate the fire burns all the time [kW]
    """

def charge_mass(firebox_volume: Space, fill_fraction: Fraction_, bulk_density: Density) -> Mass:
    """Mass of a charge of wood, oven-dry, in kg.

    firebox_volume: usable [m³]
    fill_fraction: of that volume, filled with stacked wood [%]
    bulk_density: oven-dry mass per volume of stacked wood [kg/m³]
    """

def charge_heat(charge_mass: Mass, dry_heating_value: HeatingValue, efficiency: Fraction_) -> Energy:
    """Heat of a charge to the water, in kWh.

    charge_mass: oven-dry [kg]
    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    efficiency: on the gross heat, at the wood's moisture [%]
    """

def burn_time(charge_heat: Energy, load: Power) -> Time:
    """Time that a charge carries the load, in h.

    charge_heat: to the water [kWh]
    load: heat that is taken, line and jacket losses and what the idling fire burns included; with none the charge lasts for ever [kW]
    """

def sustained_output(charge_heat: Energy, hours: Time) -> Power:
    """Heat that a charge gives steadily from one loading to the next, in kW.

    charge_heat: to the water [kWh]
    hours: between loadings [h]
    """

def charge_buffer_volume(
    charge_heat: Energy, load: Power, burn_time: Time, swing: TemperatureDifference, density: Density, specific_heat: SpecificHeat
) -> Volume:
    """Water that holds what a charge gives beyond the load while it burns, in L.

    charge_heat: to the water [kWh]
    load: heat that is taken while the charge burns [kW]
    burn_time: of a charge at full fire [h]
    swing: from the tank's coldest useful temperature to its hottest [K]
    density: of the water [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def buffer_volume(
    minimum_firing_time: Minutes,
    firing_rate: Power,
    load: Power,
    swing: TemperatureDifference,
    density: Density,
    specific_heat: SpecificHeat,
) -> Volume:
    """Water that makes each firing last at least so long, in L.

    minimum_firing_time: wanted [min]
    firing_rate: heat of the fire to the water [kW]
    load: heat that is taken meanwhile; at or above the firing rate no water is needed [kW]
    swing: of the water between the fire's start and its rest [K]
    density: of the water [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def time_to_boil(
    volume: Volume,
    temperature: Temperature,
    boiling_temperature: Temperature,
    firing_rate: Power,
    density: Density,
    specific_heat: SpecificHeat,
) -> Minutes:
    """Time in which a fire that nothing cools brings the boiler's water to boiling, in min.

    volume: of the boiler's water [L]
    temperature: of the water when the pump stops; at boiling there is no time left [°C]
    boiling_temperature: at the pressure in the boiler [°C]
    firing_rate: heat of the fire to the water; with none it never boils [kW]
    density: of the water [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def month_idle_time(lit_time: Time, heat_to_water: SeasonEnergy, jacket_loss: SeasonEnergy, rated_output: Power) -> Time:
    """Hours of a month in which the boiler is lit and its fire rests, in h.

    lit_time: hours of the month in which the boiler is lit [h]
    heat_to_water: that leaves the boiler in the month [kWh]
    jacket_loss: of the boiler in the month [kWh]
    rated_output: heat of the full fire to the water [kW]
    """

def month_fuel(
    heat_to_water: SeasonEnergy,
    jacket_loss: SeasonEnergy,
    efficiency: Fraction_,
    idle_share: Fraction_,
    rated_output: Power,
    idle_time: Time,
) -> SeasonEnergy:
    """Gross heat of the wood that a month burns, in kWh.

    heat_to_water: that leaves the boiler in the month [kWh]
    jacket_loss: of the boiler in the month [kWh]
    efficiency: at full fire, on the gross heat; or over a season, then idle share and jacket loss are 0 [%]
    idle_share: fuel of a resting fire as a part of the full fire's [%]
    rated_output: heat of the full fire to the water [kW]
    idle_time: hours in which the fire rests [h]
    """

def tank_conductance(diameter: Length, length: Length, conductance_per_area: ConductancePerArea) -> Conductance:
    """Conductance of the jacket of a cylindrical tank, in W/K.

    diameter: of the tank [m]
    length: of the tank [m]
    conductance_per_area: of its insulation (one over its resistance of an area) [W/(m² K)]
    """

def cooled_temperature(
    volume: Volume,
    start: Temperature,
    surroundings: Temperature,
    conductance: Conductance,
    elapsed: Time,
    density: Density,
    specific_heat: SpecificHeat,
) -> Temperature:
    """Temperature of standing water after a time without heat, in °C.

    volume: of the water [L]
    start: temperature at the beginning [°C]
    surroundings: temperature around it [°C]
    conductance: from the water to the surroundings [W/K]
    elapsed: time since the beginning [h]
    density: of the water [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def cooling_constant(volume: Volume, conductance: Conductance, density: Density, specific_heat: SpecificHeat) -> Time:
    """Time in which water would cool to its surroundings if it went on losing heat as at first, in h.

    volume: of the water [L]
    conductance: from the water to the surroundings; with none the time is 100,000 hours [W/K]
    density: of the water [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def cooling_time(
    volume: Volume,
    start: Temperature,
    finish: Temperature,
    surroundings: Temperature,
    conductance: Conductance,
    density: Density,
    specific_heat: SpecificHeat,
) -> Time:
    """Time in which standing water cools to a temperature, in h.

    volume: of the water [L]
    start: temperature at the beginning [°C]
    finish: temperature to which it cools, 32 °F for freezing; at or above the start no time is needed [°C]
    surroundings: temperature around it; at or above the finish it never cools so far [°C]
    conductance: from the water to the surroundings [W/K]
    density: of the water [kg/m³]
    specific_heat: of the water [kJ/(kg K)]
    """

def return_mixing_fraction(supply_temperature: Temperature, return_temperature: Temperature, limit_temperature: Temperature) -> Fraction_:
    """Share of the boiler's flow that must be supply water, mixed into the return to keep it warm, in %.

    supply_temperature: of the water that leaves the boiler [°C]
    return_temperature: of the water that comes back from the loads [°C]
    limit_temperature: the lowest that may enter the boiler; at or above the supply nothing is enough and the share is all [°C]
    """

def surface_pressure(elevation: Length) -> Pressure:
    """Atmospheric pressure at an elevation, absolute, in kPa.

    elevation: above sea level; below it negative [m]
    """

def expansion_volume(liquid: Liquid, glycol_fraction: Fraction_, system_volume: Volume, cold: Temperature, hot: Temperature) -> Volume:
    """Volume by which the liquid of a system grows when heated, in L.

    liquid: name in the table of liquids
    glycol_fraction: glycol by mass; for water it counts for nothing [%]
    system_volume: of all the liquid, cold [L]
    cold: temperature at filling [°C]
    hot: highest mean temperature [°C]
    """

def metal_expansion(system_volume: Volume, expansion_coefficient: ExpansionCoefficient, cold: Temperature, hot: Temperature) -> Volume:
    """Volume by which tubes and vessels grow when heated, in L.

    system_volume: of all they hold, cold [L]
    expansion_coefficient: linear, of the metal: 11.7e-6 per K for steel, 17.1e-6 for copper [1/K]
    cold: temperature at filling [°C]
    hot: highest mean temperature [°C]
    """

def expansion_tank_volume(expansion_volume: Volume, fill_pressure: Pressure, top_pressure: Pressure, surface_pressure: Pressure) -> Volume:
    """Volume of a closed diaphragm tank, in L.

    expansion_volume: by which the liquid grows, less what tubes and vessels grow [L]
    fill_pressure: gauge, of the cold system at the tank, equal to the tank's air charge [kPa]
    top_pressure: gauge, highest allowed at the tank, below that of the relief valve [kPa]
    surface_pressure: absolute, of the atmosphere [kPa]
    """

def warm_share(temperature: Temperature) -> Ratio:
    """How far a temperature lies from 23 °C (73.4 °F) towards 82 °C (180 °F).

    temperature: of the water [°C]
    """

def hot_share(temperature: Temperature) -> Ratio:
    """How far a temperature lies from 82 °C (180 °F) towards 93 °C (200 °F).

    temperature: of the water [°C]
    """

def tube_rated_pressure(family: TubeFamily, temperature: Temperature) -> Pressure:
    """Pressure rating of a tube between the points of its standard, in kPa.

    family: of tubes, name in the table of tube limits
    temperature: of the water [°C]
    """

def tube_pressure_limit(family: TubeFamily, temperature: Temperature) -> Pressure:
    """Highest pressure allowed in a tube, in kPa.

    family: of tubes, name in the table of tube limits
    temperature: of the water [°C]
    """

def pressure_at_height(datum_pressure: Pressure, height: Length, density: Density) -> Pressure:
    """Pressure of still water at a height, in kPa.

    datum_pressure: at the height counted as zero: 0 gauge at the level of open water [kPa]
    height: above that level; below it negative [m]
    density: of the water [kg/m³]
    """

def boiling_height(surface_pressure: Pressure, temperature: Temperature) -> Length:
    """Height above the open water level at which still water boils, in m.

    surface_pressure: absolute, on the open water [kPa]
    temperature: of the water [°C]
    """

def wet_basis_moisture(dry_basis: Fraction_) -> Fraction_:
    """Moisture on the wet basis: water per wet wood, in %.

    dry_basis: water per oven-dry wood, as a pin meter shows it [%]
    """

def dry_basis_moisture(wet_basis: Fraction_) -> Fraction_:
    """Moisture on the dry basis: water per oven-dry wood, in %.

    wet_basis: water per wet wood; all water (100 %) has no dry basis [%]
    """

def gross_heating_value(dry_heating_value: HeatingValue, moisture: Fraction_) -> HeatingValue:
    """Gross heat of wood per mass as fired, in MJ/kg.

    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    moisture: on the wet basis [%]
    """

def net_heating_value(dry_heating_value: HeatingValue, moisture: Fraction_) -> HeatingValue:
    """Net heat of wood per mass as fired: all water leaves as vapour, in MJ/kg.

    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    moisture: on the wet basis; of nearly all water the net heat is negative [%]
    """

def cord_mass(specific_gravity: Ratio, moisture: Fraction_, solid_volume: Space) -> Mass:
    """Mass of a cord as stacked; with no moisture, of its oven-dry wood, in kg.

    specific_gravity: oven-dry mass over volume, the volume on the same basis (12 % moisture or green) as the stack's
    moisture: on the wet basis [%]
    solid_volume: of wood in a cord, 70 to 90 ft³ of its 128 [m³]
    """

def cord_energy(specific_gravity: Ratio, solid_volume: Space, dry_heating_value: HeatingValue) -> CordEnergy:
    """Gross heat of a cord, whatever its moisture, in kWh/cord.

    specific_gravity: oven-dry mass over volume, the volume on the same basis (12 % moisture or green) as the stack's
    solid_volume: of wood in a cord, 70 to 90 ft³ of its 128 [m³]
    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    """

def cord_net_energy(specific_gravity: Ratio, moisture: Fraction_, solid_volume: Space, dry_heating_value: HeatingValue) -> CordEnergy:
    """Net heat of a cord: all water leaves as vapour, in kWh/cord.

    specific_gravity: oven-dry mass over volume, the volume on the same basis (12 % moisture or green) as the stack's
    moisture: on the wet basis [%]
    solid_volume: of wood in a cord, 70 to 90 ft³ of its 128 [m³]
    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    """

def cords_for_heat(heat: SeasonEnergy, cord_energy: CordEnergy, efficiency: Fraction_) -> Cords:
    """Cords that give a heat to the water, in cords.

    heat: to the water [kWh]
    cord_energy: gross or net heat of a cord [kWh/cord]
    efficiency: on the same basis, gross or net, as cord_energy [%]
    """

def cords_in_stack(length: Length, height: Length, depth: Length) -> Cords:
    """Cords in a stack, bark and air included, in cords.

    length: of the stack [m]
    height: of the stack [m]
    depth: from face to face; of a single row, the length of a stick [m]
    """

def stack_length(cords: Cords, height: Length, depth: Length) -> Length:
    """Length of the stack that holds so many cords, in m.

    cords: in the stack [cords]
    height: of the stack [m]
    depth: from face to face; of a single row, the length of a stick [m]
    """

def flue_water(moisture: Fraction_) -> Ratio:
    """Water that leaves with the flue gas per mass of dry wood.

    moisture: of the wood, on the wet basis [%]
    """

def dry_flue_gas(excess_air: Fraction_) -> Ratio:
    """Dry flue gas per mass of dry wood.

    excess_air: more than the flame needs, as a part of what it needs [%]
    """

def flue_water_heat(stack_temperature: Temperature, air_temperature: Temperature) -> HeatingValue:
    """Heat that a mass of water takes through the stack, in MJ/kg.

    stack_temperature: of the flue gas where it leaves the boiler [°C]
    air_temperature: of the air for the fire [°C]
    """

def stack_loss_fraction(
    dry_heating_value: HeatingValue,
    moisture: Fraction_,
    excess_air: Fraction_,
    stack_temperature: Temperature,
    air_temperature: Temperature,
) -> Fraction_:
    """Share of the gross heat that leaves through the stack, in %.

    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    moisture: of the wood, on the wet basis [%]
    excess_air: more than the flame needs, as a part of what it needs [%]
    stack_temperature: of the flue gas where it leaves the boiler [°C]
    air_temperature: of the air for the fire [°C]
    """

def recoverable_heating_value(
    dry_heating_value: HeatingValue,
    moisture: Fraction_,
    excess_air: Fraction_,
    stack_temperature: Temperature,
    air_temperature: Temperature,
) -> HeatingValue:
    """Heat that the stack leaves, per mass of wood as fired, in MJ/kg.

    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    moisture: of the wood, on the wet basis [%]
    excess_air: more than the flame needs, as a part of what it needs [%]
    stack_temperature: of the flue gas where it leaves the boiler [°C]
    air_temperature: of the air for the fire [°C]
    """

def green_penalty(
    dry_heating_value: HeatingValue,
    moisture: Fraction_,
    reference_moisture: Fraction_,
    excess_air: Fraction_,
    stack_temperature: Temperature,
    air_temperature: Temperature,
) -> Ratio:
    """Cords of wet wood for one cord at a reference moisture.

    dry_heating_value: gross, of oven-dry wood [MJ/kg]
    moisture: of the wood burned, on the wet basis [%]
    reference_moisture: of the wood it is compared with, on the wet basis [%]
    excess_air: more than the flame needs, as a part of what it needs [%]
    stack_temperature: of the flue gas where it leaves the boiler [°C]
    air_temperature: of the air for the fire [°C]
    """

def efficiency_at_moisture(efficiency: Fraction_, green_penalty: Ratio) -> Fraction_:
    """Efficiency with wood of another moisture, in %.

    efficiency: on the gross heat, at the reference moisture [%]
    green_penalty: cords of the wood burned for one cord at the reference moisture
    """

def heat_price(fuel_price: MoneyPerUnit, heat_content: FuelEnergy, efficiency: Fraction_) -> MoneyPerEnergy:
    """Price of useful heat from a fuel, in currency per kWh.

    fuel_price: of a sales unit (gallon, therm, ton, kWh) [currency/unit]
    heat_content: gross, of that unit [kWh/unit]
    efficiency: seasonal, on the gross heat; above 100 % for a heat pump [%]
    """

def fuel_cost(amount: FuelAmount, fuel_price: MoneyPerUnit) -> Money:
    """Cost of a fuel as it is sold, in currency.

    amount: in sales units [unit]
    fuel_price: of a sales unit (gallon, therm, ton, kWh) [currency/unit]
    """

def useful_fuel_heat(amount: FuelAmount, heat_content: FuelEnergy, efficiency: Fraction_) -> SeasonEnergy:
    """Useful heat of an amount of fuel, in kWh.

    amount: in sales units [unit]
    heat_content: gross, of a sales unit [kWh/unit]
    efficiency: seasonal, on the gross heat; 100 % gives the gross heat itself, a heat pump more [%]
    """

def heat_cost(heat: SeasonEnergy, heat_price: MoneyPerEnergy) -> Money:
    """Cost of an amount of useful heat, in currency.

    heat: useful [kWh]
    heat_price: of useful heat [currency per kWh]
    """

def wood_cost(cords: Cords, cord_price: MoneyPerCord) -> Money:
    """Cost of the cords burned, in currency.

    cords: burned in a year [cords]
    cord_price: bought, or the worth of one's own labor [currency/cord]
    """

def cord_price_from_stack(price: Money, cords: Cords) -> MoneyPerCord:
    """Price of a full cord from that of a face cord or another stack, in currency/cord.

    price: of the stack [currency]
    cords: in the stack [cords]
    """

def cord_price_from_labor(hours: Time, wage: MoneyPerTime) -> MoneyPerCord:
    """Price of a cord as the worth of one's own labor, in currency/cord.

    hours: to fell, haul, split and stack one cord [h]
    wage: worth of an hour [currency/h]
    """

def pump_running_cost(power: ElectricPower, hours: Time, price: ElectricityPrice) -> Money:
    """Cost of running a pump or a fan, in currency.

    power: electric [W]
    hours: that it runs [h]
    price: of electricity [currency/kWh]
    """

def annual_saving(fuel_cost: Money, wood_cost: Money, running_cost: Money) -> Money:
    """Money saved in a year, in currency.

    fuel_cost: of the fuel that is no longer bought [currency]
    wood_cost: of the wood burned [currency]
    running_cost: electricity and upkeep beyond those of today [currency]
    """

def simple_payback(cost: Money, saving: Money) -> Years:
    """Years after which the saving has paid the cost, in year.

    cost: installed [currency]
    saving: in a year; without one it is never paid, which reads as 1000 years [currency]
    """

def present_worth_factor(rate: Fraction_, escalation: Fraction_, years: Years) -> Ratio:
    """Present worth of a series of yearly payments that begins at one.

    rate: interest or discount rate in a year [%]
    escalation: growth of the payment in a year [%]
    years: number of payments [year]
    """

def net_present_value(rate: Fraction_, cost: Money, saving: Money, escalation: Fraction_, years: Years) -> Money:
    """Present worth of the savings of a number of years, less the cost, in currency.

    rate: interest or discount rate in a year [%]
    cost: installed, paid now [currency]
    saving: of the first year, counted at its end [currency]
    escalation: growth of the saving in a year [%]
    years: counted [year]
    """

def parity_cord_price(heat_price: MoneyPerEnergy, cord_energy: CordEnergy, efficiency: Fraction_) -> MoneyPerCord:
    """Price of a cord at which its heat costs what the other fuel's does, in currency/cord.

    heat_price: of useful heat from the other fuel [currency per kWh]
    cord_energy: gross heat of a cord [kWh/cord]
    efficiency: of the wood boiler over the season, on the gross heat [%]
    """

def break_even_cord_price(fuel_cost: Money, running_cost: Money, cost: Money, present_worth_factor: Ratio, cords: Cords) -> MoneyPerCord:
    """Price of a cord at which the whole installation stops paying, in currency/cord.

    fuel_cost: of the fuel replaced, in the first year [currency]
    running_cost: electricity and upkeep beyond those of today, in the first year [currency]
    cost: installed [currency]
    present_worth_factor: of the years counted
    cords: burned in a year [cords]
    """
