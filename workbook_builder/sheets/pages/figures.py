"""The figures that the Summary shows, block by block: one list for the page and for whoever claims a figure by the page's own words."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.model.rows import Row
from workbook_builder.sheets.sizing.design import Sizing


@dataclass(frozen=True)
class Figure:
    """One figure of the page: its words there, the row it comes from, and its number format if it has one of its own."""

    label: str
    row: Row
    shown: str = ""


@dataclass(frozen=True)
class Block:
    """A part of the page: a table down the loads or the runs, or figures of the whole job, two to a line."""

    title: str
    figures: tuple[Figure, ...]
    names: Row | None = None  # of a table: its loads or runs

    @property
    def axis(self) -> str:
        return self.names.axis.name if self.names is not None else "one"


def blocks(sizing: Sizing) -> tuple[Block, ...]:
    """In the order of the questions that a customer asks."""
    return (*_heated(sizing), *_buy(sizing), *_fire(sizing), _money(sizing))


def _heated(sizing: Sizing) -> tuple[Block, Block]:
    needs, boiler, settled = sizing.needs, sizing.boiler, sizing.settled.case
    return (
        Block(
            "1  Is each load heated?",
            (
                Figure("on run", needs.run),
                Figure("kind", needs.kind),
                Figure("need", settled.need),
                Figure("delivered", settled.taken),
                Figure("entering water", settled.inlet),
                Figure("supply water needed", sizing.steady.lowest),
                Figure("season", sizing.season.year),
            ),
            needs.sheet.names,
        ),
        Block(
            "",
            (
                Figure("Load of the boiler, every need met", boiler.load.needed),
                Figure("Rated output over the load", boiler.load.margin, "0.00"),
                Figure("Sustained output over the load", boiler.charge.sustained_margin, "0.00"),
                Figure("Equilibrium water temperature", sizing.balance.water, "0.0"),
            ),
        ),
    )


def _buy(sizing: Sizing) -> tuple[Block, Block]:
    pipes, pumps, night, boiler = sizing.pipes, sizing.pumps, sizing.night, sizing.boiler
    return (
        Block(
            "2  What to buy",
            (
                Figure("tube", pipes.size),
                Figure("length", pipes.length),
                Figure("flow", pumps.flow),
                Figure("circulator head required", pumps.head),
                Figure("velocity", pumps.velocity),
                Figure("arrives at", night.lines.arrival),
                Figure("line heat loss", night.lines.loss),
            ),
            pipes.sheet.names,
        ),
        Block(
            "",
            (
                Figure("Buffer for the firing time required", boiler.cycles.buffer_to_order),
                Figure("Tank that holds a charge (batch)", boiler.cycles.batch_buffer),
                Figure("Expansion of the water", boiler.expansion.expansion),
                Figure("Expansion tank (closed system)", boiler.expansion.tank),
            ),
        ),
    )


def _fire(sizing: Sizing) -> tuple[Block, Block]:
    boiler, cords = sizing.boiler, sizing.cords
    return (
        Block(
            "3  Fire and wood",
            (
                Figure("Burn time, every need met", boiler.charge.burn_time, "0.0"),
                Figure("Firing time at half load", boiler.cycles.half.firing, "0.0"),
                Figure("Cycles an hour at half load", boiler.cycles.half.per_hour, "0.0"),
                Figure("Return to the boiler", sizing.back.temperature, "0.0"),
                Figure("Cords a year", cords.cords_year, "0.0"),
                Figure("Stack 4 ft (1.2 m) high and deep", cords.stack, "0"),
                Figure("Cords in July", cords.cords[6], "0.00"),
                Figure("Line losses over the year's heat", cords.line_share, "0.0"),
            ),
        ),
        Block(
            "4  Power failure on the design night",
            (
                Figure("A full fire boils the boiler in", boiler.power_cut.boils_in, "0"),
                Figure("The differential lasts", boiler.power_cut.band_left, "0"),
                Figure("Bare tube freezes in", sizing.lines.bare_first, "0.0"),
                Figure("The boiler's water freezes in", boiler.power_cut.freezes, "0"),
            ),
        ),
    )


def _money(sizing: Sizing) -> Block:
    money, costs = sizing.money, sizing.fuel_costs
    return Block(
        "5  Money",
        (
            Figure("Today's fuels for the same heat", money.today, "#,##0"),
            Figure("Wood in a year", money.wood, "#,##0"),
            Figure("Saving in the first year", money.saving, "#,##0"),
            Figure("Simple payback", money.payback),
            Figure("Net present value over the life", money.net, "#,##0"),
            Figure("Break-even cord price", money.break_even, "#,##0"),
            Figure("Loads over bills, least", costs.least_of_bill, "0.00"),
            Figure("Loads over bills, most", costs.most_of_bill, "0.00"),
        ),
    )
