"""Checks: each requirement of the job, what is wanted, what is found, where it is worst, and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from hydrocalc import pressure
from hydrocalc.measures import COUNT, FRACTION, PRESSURE, TEMPERATURE, TEMPERATURE_DIFFERENCE

from ..gathering import Across, FoundAt, Pick, total_of
from ..references import Reference, SameColumn, kind_is
from ..sheet_rows import Row
from ..worksheet import Sheet
from .common import ONE, Making

PASS, REMARK, FAIL = 0.0, 1.0, 2.0
ALL = 0.999  # of a need; less than a thousandth short is the rounding of the settling water


@dataclass
class Check:
    """One requirement: the rows from which a verdict is read, and what to do about it."""

    section: str
    label: str
    remedy: str
    code: Row
    found: Row
    limit: Row | None
    worst: Row
    where: Row
    value: Row
    wanted: Row | None
    verdict: Row
    rank: Row | None = None


def make_checks(making: Making) -> None:
    """The sheets LoadChecks, RunChecks and Checks."""
    makers = _Checks(making)
    makers.loads_part()
    makers.runs_part()
    makers.job_part()
    makers.gather()
    making.rows["checks"] = SimpleNamespace(all=makers.checks, sheet=makers.gathered, fails=makers.fails, remarks=makers.remarks)


class _Checks:
    def __init__(self, making: Making) -> None:
        self.making = making
        self.pending: list[tuple[str, str, str, Row, Row, Row | None]] = []
        self.checks: list[Check] = []

    def add(
        self,
        sheet: Sheet,
        section: str,
        label: str,
        remedy: str,
        found: Row,
        limit: Reference | None,
        verdict: Any,
        *more: Any,
        when: Reference | None = None,
    ) -> None:
        """A requirement over the columns of a sheet: found, limit and the code 0, 1 or 2 that ``verdict`` gives."""
        sheet.heading(label)
        shown = sheet.take("Found", SameColumn(found)) if found.sheet is not sheet else found
        wanted = sheet.take("Wanted", limit) if limit is not None else None
        args = (shown, *((wanted,) if wanted is not None else ()), *more)
        code = sheet.calc(
            "Verdict (0 pass, 1 remark, 2 fail)", COUNT, verdict, *args, when=when, shows="whole", words="0 pass, 1 remark, 2 fail"
        )
        self.pending.append((section, label, remedy, code, shown, wanted))

    # -- loads

    def loads_part(self) -> None:
        making = self.making
        sheet = making.book.sheet("LoadChecks", making.loads, "Checks of each load")
        needs, units = making.needs, making.units
        limit = making.job
        settled = making.settled.case
        sheet.heading("What each load gets on the design night")
        served = sheet.calc(
            "Part of the need met, fire included",
            FRACTION,
            lambda need, q: np.where(need > 1e-6, q / np.maximum(need, 1e-6), 1.0),
            settled.need,
            settled.taken,
        )
        self.add(
            sheet,
            "heat",
            "Every load gets what it needs",
            "more flow or a larger tube on its run; a larger emitter or exchanger; its place nearer the boiler; more output",
            served,
            None,
            lambda x: np.where(x >= ALL, PASS, FAIL),
        )
        approach = self._approach(sheet)
        self.add(
            sheet,
            "exchangers",
            "Approach of the exchanger",
            "a larger exchanger",
            approach,
            limit("limits", "exchanger approach"),
            lambda x, w: np.where(x <= w, PASS, REMARK),
        )
        plate = self._plate(sheet)
        self.add(
            sheet,
            "exchangers",
            "Hot water at the peak draw, out of the plate",
            "a larger plate, a slower draw, or a tank kept hot behind it",
            plate,
            SameColumn(needs.wanted_of_plate),
            lambda x, w: np.where(x < w, REMARK, PASS),
        )
        taps = kind_is(needs.kind, "hot water")
        hottest = sheet.calc(
            "Hottest that the taps can get, without a valve",
            TEMPERATURE,
            lambda t, tank: np.maximum(t, tank),
            sheet.take("Hottest water on the run", Pick(making.pumps.hottest, making.pipes.sheet.names, needs.run)),
            needs.stored,
            when=taps,
        )
        self.add(
            sheet,
            "safety",
            "Scalding: a mixing valve at the taps",
            "a listed mixing valve set to 120 °F or less; test it",
            hottest,
            limit("limits", "highest hot water without a valve"),
            lambda x, w, valve: np.where((x > w) & (valve == "no"), FAIL, PASS),
            units.mixing_valve,
            when=taps,
        )
        self.add(
            sheet,
            "safety",
            "Water on the domestic side",
            "a cooler boiler or a limiting control",
            hottest,
            limit("limits", "failing hot water temperature"),
            lambda x, w: np.where(x > w, FAIL, PASS),
            when=taps,
        )
        tank = sheet.calc(
            "Stored at",
            TEMPERATURE,
            lambda t, v: t * 1.0,
            needs.stored,
            needs.tank,
            when=kind_is(units.heated_by, "coil in tank", "side-arm", "plate then tank"),
        )
        self.add(
            sheet,
            "safety",
            "Storage against bacteria",
            "store at 140 °F and mix down at the taps",
            tank,
            limit("limits", "lowest stored temperature"),
            lambda x, w: np.where(x >= w - 1e-6, PASS, REMARK),
        )
        tub = sheet.calc("Tub kept at", TEMPERATURE, lambda t: t * 1.0, needs.tub_set, when=kind_is(needs.kind, "tub"))
        self.add(
            sheet,
            "safety",
            "Tub no hotter than is safe",
            "set it lower, and guard it with a limit of its own",
            tub,
            limit("limits", "highest tub temperature"),
            lambda x, w: np.where(x <= w + 1e-6, PASS, FAIL),
        )

    def _approach(self, sheet: Sheet) -> Row:
        """Boiler water in less heated water out, for every exchanger before a building's loop, with what it takes on the night."""
        making = self.making
        case, units, needs = making.steady.case, making.units, making.needs
        building = kind_is(units.behind, "yes")
        mean = sheet.calc(
            "Mean water of the loop",
            TEMPERATURE,
            lambda room, q, rated, excess, n, r: room + excess * (np.maximum(q, 1e-6) / np.maximum(rated, 1e-6)) ** (1 / n) + r * q,
            needs.indoor,
            case.taken,
            units.output,
            units.excess,
            units.exponent,
            units.surface_resistance,
            when=building,
        )
        out = sheet.calc(
            "Heated water out",
            TEMPERATURE,
            lambda t, q, c: t + q / (2 * np.maximum(c, 1e-6)),
            mean,
            case.taken,
            units.second_rate,
            when=building,
        )
        return sheet.calc("Approach", TEMPERATURE_DIFFERENCE, lambda hot, cold: hot - cold, case.inlet, out)

    def _plate(self, sheet: Sheet) -> Row:
        """What leaves a plate exchanger at the peak draw; hotter than wanted is mixed down."""
        making = self.making
        case, units, needs = making.steady.case, making.units, making.needs
        return sheet.calc(
            "Out of the plate at the peak draw",
            TEMPERATURE,
            lambda cold, q, c: cold + q / np.maximum(c, 1e-6),
            needs.cold,
            case.capacity,
            units.draw_rate,
            when=kind_is(units.heated_by, "plate", "plate then tank"),
        )

    # -- runs

    def runs_part(self) -> None:
        making = self.making
        sheet = making.book.sheet("RunChecks", making.runs, "Checks of each run")
        pumps, pipes, lines, returns = making.pumps, making.pipes, making.ground, making.returns
        limit = making.job
        self.add(
            sheet,
            "runs",
            "The circulator makes the flow",
            "a stronger circulator or a larger tube",
            pumps.flow,
            SameColumn(pumps.wanted),
            lambda x, w: np.where(x >= w * 0.98, PASS, FAIL),
        )
        self.add(
            sheet,
            "runs",
            "Velocity not too high",
            "a larger tube or less flow",
            pumps.velocity,
            SameColumn(pipes.highest_velocity),
            lambda x, w, most: np.where(x > most, FAIL, np.where(x > w * 1.001, REMARK, PASS)),
            limit("limits", "failing velocity"),
        )
        self.add(
            sheet,
            "runs",
            "Velocity not too low",
            "a smaller tube, or air vents at every high point",
            pumps.velocity,
            limit("limits", "lowest velocity"),
            lambda x, w: np.where(x < w, REMARK, PASS),
        )
        self.add(
            sheet,
            "runs",
            "Head gradient",
            "a larger tube; a remark only, if the circulator makes the flow",
            pumps.gradient,
            SameColumn(pipes.highest_gradient),
            lambda x, w: np.where(x > w * 1.001, REMARK, PASS),
        )
        self.add(
            sheet,
            "lines",
            "Temperature lost by the supply",
            "a better or dry line, or more flow",
            lines.gradient,
            limit("limits", "line temperature loss"),
            lambda x, w: np.where(x > w, REMARK, PASS),
        )
        self.add(
            sheet,
            "lines",
            "Loss on the design night, over what enters",
            "a better line; see Lines",
            returns.share,
            limit("limits", "line loss of the design load"),
            lambda x, w: np.where(x > w, REMARK, PASS),
        )
        dry = sheet.calc("Jacket wet (1: yes)", COUNT, lambda c: np.where(c == "wet", 1.0, 0.0), lines.condition)
        self.add(
            sheet,
            "lines",
            "Jacket dry",
            "a sealed jacket, drainage of the trench; replace a soaked line",
            dry,
            None,
            lambda x: np.where(x > 0, FAIL, PASS),
        )
        open_system = kind_is(pumps.system, "open")
        self.add(
            sheet,
            "water",
            "Highest point below boiling, circulator stopped",
            "a lower route, a closed system, or cooler water",
            pumps.top_margin,
            None,
            lambda x: np.where(x <= 0, FAIL, PASS),
        )
        self.add(
            sheet,
            "water",
            "High point of an open system",
            "a route below the water level, or an air vent that is kept shut when open to suction",
            pumps.highest,
            None,
            lambda x: np.where(x > 0, REMARK, PASS),
            when=open_system,
        )
        margin = limit("limits", "suction margin")
        self.add(
            sheet,
            "water",
            "Suction head beyond the circulator's own",
            "the circulator near the boiler's supply and low; a shorter suction",
            pumps.suction_margin,
            margin,
            lambda x, w: np.where(x < w, FAIL, PASS),
        )
        allowed = sheet.line(
            "Pressure that the tube may carry at that temperature", pressure.tube_rated_pressure, pipes.family, pumps.hottest
        )
        highest = sheet.calc(
            "Highest pressure in the tube",
            PRESSURE,
            lambda h, d, relief, system: np.where(system == "closed", relief, 0.0) + 9.80665 * d * np.maximum(0.0 - h, 0.0),
            pumps.lowest_height,
            pipes.density,
            making.job("boiler", "relief pressure"),
            making.job("boiler", "system"),
            words="relief pressure of a closed system, and the water above the lowest point",
        )
        self.add(
            sheet,
            "water",
            "Tube within its pressure at its temperature",
            "another tube, or cooler water",
            highest,
            SameColumn(allowed),
            lambda x, w: np.where(x > w, FAIL, PASS),
        )

    # -- the job

    def job_part(self) -> None:
        making = self.making
        sheet = making.book.sheet("Checks", ONE, "Checks of the job, and all verdicts")
        self.gathered = sheet
        boiler, cords, site = making.boiler, making.cords, making.site
        limit = making.job
        self.add(
            sheet,
            "heat",
            "Boiler's rated output over the load",
            "a larger boiler, a smaller load, or backup heat on the coldest nights",
            boiler.margin,
            limit("limits", "lowest output to load"),
            lambda x, w, most: np.where(x < w, FAIL, np.where(x > most, REMARK, PASS)),
            limit("limits", "highest output to load"),
        )
        self.add(
            sheet,
            "heat",
            "Sustained output over the load",
            "more frequent loading, a larger firebox, drier or denser wood, backup heat",
            boiler.sustained_margin,
            limit("limits", "lowest sustained output to load"),
            lambda x, w: np.where(x < w, FAIL, PASS),
        )
        self.add(
            sheet,
            "fire",
            "Hours on a charge, design night",
            "a fuller charge, denser wood, a larger firebox",
            boiler.burn_time,
            limit("limits", "hours on a charge"),
            lambda x, w: np.where(x < w, REMARK, PASS),
        )
        half = boiler.half
        self.add(
            sheet,
            "fire",
            "Firing time at half load",
            "more water, a wider band, or a buffer tank; see Boiler",
            half.firing,
            limit("limits", "shortest firing time"),
            lambda x, w, least: np.where(x < least, FAIL, np.where(x < w, REMARK, PASS)),
            limit("limits", "failing firing time"),
        )
        self.add(
            sheet,
            "fire",
            "Cycles an hour at half load",
            "more water, a wider band, or a buffer tank",
            half.per_hour,
            limit("limits", "cycles an hour"),
            lambda x, w: np.where(x > w, REMARK, PASS),
        )
        self.add(
            sheet,
            "fire",
            "Return to the boiler",
            "mix supply into the return; see Boiler",
            boiler.return_temperature,
            limit("boiler", "lowest return temperature"),
            lambda x, w, how: np.where(x < w, np.where(how == "none", FAIL, PASS), PASS),
            limit("boiler", "return protection"),
        )
        self.add(
            sheet,
            "lines",
            "Line losses over the heat of the season",
            "a better line, or no fire in summer",
            cords.line_share,
            limit("limits", "line loss of the season"),
            lambda x, w: np.where(x > w, REMARK, PASS),
        )
        self.add(
            sheet,
            "power cut",
            "Minutes of a full fire until the boiler boils",
            "an overheat dump that needs no power",
            boiler.boils_in,
            limit("limits", "boiling reserve"),
            lambda x, w: np.where(x < w, FAIL, PASS),
        )
        wanted = sheet.calc(
            "Has to stay liquid down to",
            TEMPERATURE,
            lambda t, m: t - m,
            making.job("site", "outdoor design temperature"),
            limit("limits", "antifreeze margin"),
        )
        kind = sheet.take("Liquid in the boiler", making.job("liquid", "kind"))
        self.add(
            sheet,
            "power cut",
            "Freezing of the liquid in a dead system",
            "antifreeze, or a plan: backup power, drain-down, somebody at home",
            site.freezes,
            SameColumn(wanted),
            lambda x, w, liquid: np.where(x <= w, PASS, np.where(liquid == "water", REMARK, FAIL)),
            kind,
        )

    def gather(self) -> None:
        """The worst of each requirement, with its place, in the order of the summary."""
        sheet = self.gathered
        for section, label, remedy, code, found, limit in self.pending:
            sheet.heading(label)
            worst = sheet.take("Worst", Across(code, "MAX"), shows="whole")
            where = (
                sheet.take("Where", FoundAt(code.sheet.names, code, worst))
                if code.sheet.axis.name != "one"
                else sheet.texts("Where", ["whole job"])
            )
            value = sheet.take("Found", FoundAt(found, code, worst))
            wanted = sheet.take("Wanted", FoundAt(limit, code, worst)) if limit is not None else None
            verdict = sheet.calc(
                "Verdict",
                None,
                lambda w: np.where(w > 1.5, "fail", np.where(w > 0.5, "remark", "pass")),
                worst,
                words="pass, remark or fail",
            )
            self.checks.append(Check(section, label, remedy, code, found, limit, worst, where, value, wanted, verdict))
        sheet.heading("All together")
        fail_rows = [
            sheet.calc(f"Fails: {c.label}", COUNT, lambda w: np.where(w > 1.5, 1.0, 0.0), c.worst, shows="whole") for c in self.checks
        ]
        self.fails = sheet.take("Requirements that fail", total_of(fail_rows), shows="whole")
        remark_rows = [
            sheet.calc(f"Remark: {c.label}", COUNT, lambda w: np.where((w > 0.5) & (w < 1.5), 1.0, 0.0), c.worst, shows="whole")
            for c in self.checks
        ]
        self.remarks = sheet.take("Requirements with a remark", total_of(remark_rows), shows="whole")
        sheet.heading("Order in which they are shown: fails first, then remarks")
        for index, check in enumerate(self.checks):
            fails_so_far = sheet.take("Fails so far", total_of(fail_rows[: index + 1]), shows="whole")
            remarks_so_far = sheet.take("Remarks so far", total_of(remark_rows[: index + 1]), shows="whole")
            check.rank = sheet.calc(
                f"Place of: {check.label}",
                COUNT,
                lambda fail, remark, f, r, total: np.where(fail > 0, f, np.where(remark > 0, total + r, 0.0)),
                fail_rows[index],
                remark_rows[index],
                fails_so_far,
                remarks_so_far,
                self.fails,
                shows="whole",
                words="fails in their order, then remarks in theirs; 0 for a pass",
            )
