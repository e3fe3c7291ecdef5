"""Cautions: what can hurt somebody, with the figures that are published, and who has the last word."""

from __future__ import annotations

import textwrap

from hydrocalc.measures import System
from workbook_builder.output.page_layout import page
from workbook_builder.output.writer import GREY, SLATE, Writer
from workbook_builder.table.units import in_units

FIRST = "Local codes, the makers' instructions and licensed practice come before anything in this book."
LINE_POINTS, GAP_POINTS, LINE_CHARACTERS = 13, 6, 96
# A figure stands in both unit systems, {US|metric}; the book shows its own.
CAUTIONS = (
    ("Scalding", "Water at {140 °F|60 °C} burns an adult's skin in about 5 seconds, at {120 °F|49 °C} in about five minutes; children sooner. "
     "Put a listed mixing valve between any hot water heated by the boiler and the taps, and a limiting valve at showers and baths.",
     "CPSC figures for tap water"),
    ("Storage", "Store hot water at {140 °F|60 °C} against bacteria and mix it down at the point of use.", "ASHRAE Guideline 12"),
    ("Tub", "No tub above {104 °F|40 °C}; cooler for children and in pregnancy. Give it a limit of its own that does not hang on the boiler.",
     "CPSC release 79-071"),
    ("Potable water", "Where a toxic liquid or treated boiler water could reach drinking water, use a double-wall exchanger with a vent to the air, "
     "and the backflow preventer that the code names.", "plumbing codes"),
    ("Relief", "Every closed part that can be heated needs a relief valve of its own with a full-size discharge that nobody can be standing under, "
     "and no valve between. A closed system needs an expansion tank.", "IRC M2002, P2804"),
    ("Open or closed", "An open boiler must stay open: never valve, cap or throttle its vent. Part an open boiler from a closed loop by an exchanger.",
     "common practice, no source"),
    ("Boiling and power failure", "A wood fire goes on when the power stops. Provide an overheat dump that works without power, know the minutes until the "
     "boiler boils (sheet Boiler), and never open a boiler or fill it with cold water while it boils.", "common practice, no source"),
    ("Freezing", "Bare tube in winter air freezes within hours, boiler and lines within days. Have antifreeze, backup power or a plan to drain.",
     "sheets Lines and Boiler"),
    ("Tube", "PEX of SDR-9 carries {100 psi at 180 °F|690 kPa at 82 °C} and less above; keep hotter water out of it. Use tube with an oxygen barrier "
     "wherever iron or steel is in the loop.", "ASTM F876; DIN 4726"),
    ("Duct coil", "A coil in a furnace's duct holds its air back: have the blower checked against the coil's pressure drop, and leave the furnace's "
     "own limits in force.", "common practice, no source"),
    ("Fire and chimney", "Keep the maker's clearances; unlisted solid-fuel appliances want {36 in|0.9 m}. Ash stays hot for days. No trash, "
     "no treated wood. Mind setbacks and the smoke at the neighbours'.", "NFPA 211; EPA Burn Wise"),
    ("Carbon monoxide", "Alarms in every building whose air a fire or a chimney can reach; never lean into an open firebox.", "40 CFR 60 subpart QQQQ"),
    ("Electricity", "Pumps and fans in wet places: grounded, protected against ground faults, wired by somebody licensed.", "local electrical code"),
    ("Digging", "Have buried services marked before digging (811 in the United States), two to three working days ahead, and dig by hand near the marks.",
     "national call-before-you-dig rules"),
    ("Trenches", "A trench {5 ft|1.5 m} deep or more needs a protective system, one of {4 ft|1.2 m} or more a way out. Cave-ins kill.",
     "OSHA 29 CFR 1926.651 and 652"),
    ("This book", "It is arithmetic on the inputs that it shows, with the sources that it names. It is no approval of a design.", ""),
)  # fmt: skip


def write_cautions(writer: Writer, system: System) -> None:
    """The sheet Cautions: one page, in the book's units."""
    out = writer.add_sheet("Cautions", SLATE)
    out.set_column(0, 0, 24)
    out.set_column(1, 1, 92)
    out.set_column(2, 2, 30)
    out.set_row(0, 22)
    out.write_string(0, 0, "Cautions", writer.format(bold=True, font_size=14, font_color=SLATE))
    out.merge_range(1, 0, 1, 2, FIRST, writer.format(bold=True))
    for row, (what, figures, source) in enumerate(CAUTIONS, 3):
        text = in_units(figures, system)
        out.set_row(row, LINE_POINTS * len(textwrap.wrap(text, LINE_CHARACTERS)) + GAP_POINTS)
        out.write_string(row, 0, what, writer.format(bold=True, valign="top"))
        out.write_string(row, 1, text, writer.format(text_wrap=True, valign="top"))
        out.write_string(row, 2, source, writer.format(text_wrap=True, valign="top", font_color=GREY, font_size=9))
    page(writer, out, repeat=None, tall=1)


def write_scratch(writer: Writer) -> None:
    """An empty sheet that is not locked, for whatever an estimator wants to work out beside the book."""
    out = writer.add_sheet("Scratch", GREY, locked=False)
    out.write_string(0, 0, "Scratch: nothing here is read by the book", writer.format(font_color=GREY, italic=True))
