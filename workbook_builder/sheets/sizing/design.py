"""The sizing of a job: its sheets worked out one after the other, each from the results that it names."""

from __future__ import annotations

from dataclasses import dataclass

from .boiler import make_boiler, make_draw_and_return
from .cascade import make_cascade, make_draw, make_network
from .chart_results import Curves, Stations
from .climate import make_climate
from .context import Context
from .cords import make_cords, make_fire
from .curves import make_curves, make_stations
from .emitters import make_emitters
from .ground import make_ground, make_needs_met
from .heat_balance import make_balance
from .line_months import make_months
from .lines import make_lines
from .loads import make_loads
from .money import make_fuel_costs, make_money
from .night_results import Balance, Boiler, Draw, Network, Night, Reached, Return, Returns, Settled, Steady
from .pipes import make_pipes
from .pumps import make_pumps
from .results import (
    Climate,
    Cords,
    FuelCosts,
    Fuels,
    Ground,
    Lines,
    LineYear,
    Money,
    Needs,
    NeedsMet,
    Pipes,
    Pumps,
    Season,
    Site,
    Tubs,
    Usage,
)
from .returns import make_night, make_returns
from .season import make_season, make_tubs
from .site import make_site
from .usage import make_fuels, make_usage


@dataclass(frozen=True)
class Sizing:
    """All results of a job: what the requirements judge, the pages show and the audit asks of."""

    climate: Climate
    site: Site
    fuels: Fuels
    usage: Usage
    needs: Needs
    pipes: Pipes
    pumps: Pumps
    ground: Ground
    needs_met: NeedsMet
    network: Network
    reached: Reached
    steady: Steady
    returns: Returns
    tubs: Tubs
    season: Season
    line_year: LineYear
    cords: Cords
    boiler: Boiler
    balance: Balance
    settled: Settled
    night: Night
    draw: Draw
    back: Return
    fuel_costs: FuelCosts
    money: Money
    lines: Lines
    curves: Curves
    stations: Stations


def make_sizing(context: Context) -> Sizing:
    """Every maker in the order in which they need one another."""
    climate = make_climate(context)
    site = make_site(context, climate)
    fuels = make_fuels(context, climate, site)
    usage = make_usage(context, climate, site, fuels)
    needs = make_loads(context, usage)
    pipes = make_pipes(context, site, needs)
    pumps = make_pumps(context, site, pipes)
    ground = make_ground(context, site, pipes, pumps)
    needs_met = make_needs_met(context, pipes, ground)
    units = make_emitters(context, site, needs, pipes, pumps)
    network = make_network(context, needs, pipes, pumps, ground, needs_met, units)
    reached, steady = make_cascade(context, network, needs_met)
    returns = make_returns(context, network, reached, steady)
    tubs = make_tubs(context, climate, needs)
    season = make_season(context, climate, network, steady, tubs)
    line_year = make_months(context, climate, site, needs, pipes, ground, season)
    fire = make_fire(context)
    boiler = make_boiler(context, site, needs, pipes, steady, returns, fire)
    cords = make_cords(context, climate, season, line_year, fire, boiler)
    balance, settled = make_balance(context, network, reached, returns, boiler)
    night = make_night(context, network, balance, settled)
    draw = make_draw(context, network, settled)
    back = make_draw_and_return(context, boiler, balance, night, draw)
    fuel_costs = make_fuel_costs(context, fuels, usage, season, cords)
    money = make_money(context, pumps, cords, fuel_costs)
    lines = make_lines(context, site, pipes, ground, line_year, cords, money, boiler)
    curves = make_curves(context, site, needs, pipes, pumps, boiler, cords, money)
    stations = make_stations(context, curves, network, steady, balance, settled, night)
    return Sizing(
        climate=climate,
        site=site,
        fuels=fuels,
        usage=usage,
        needs=needs,
        pipes=pipes,
        pumps=pumps,
        ground=ground,
        needs_met=needs_met,
        network=network,
        reached=reached,
        steady=steady,
        returns=returns,
        tubs=tubs,
        season=season,
        line_year=line_year,
        cords=cords,
        boiler=boiler,
        balance=balance,
        settled=settled,
        night=night,
        draw=draw,
        back=back,
        fuel_costs=fuel_costs,
        money=money,
        lines=lines,
        curves=curves,
        stations=stations,
    )
