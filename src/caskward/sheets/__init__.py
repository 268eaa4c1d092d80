"""Paper: a plan as a run sheet, an instrument's correction card; with boxes for what is read in the shed.

run_sheet        a plan as PDF bytes, or written to a file, by `run_sheet.typ`
page_data        what that prints, as frozen dataclasses of text and lengths
forms            the empty boxes of each stage; river: the alcohol account in the order of the work
correction_card  one page for one instrument, by `correction_card.typ`
still_files      a spirit run as SVG, PDF and CSV; still_chart: its picture, drawn with still_ink
tub_files        a tub's ferment as SVG, PDF and CSV; tub_chart: its picture, drawn with the same ink
labels           a cask's label, and labels of a lot of bottles, by `label.typ`
book_files       a report of the book as PDF, CSV, Parquet, by `book_report.typ`
trace_files      a lineage as SVG and PDF; trace_picture: its picture, on the places of trace_plan
press            a template and its data to PDF; fonts/: the one typeface, with its licence
"""

from caskward.sheets.correction_card import correction_card, correction_card_to
from caskward.sheets.run_sheet import run_sheet, run_sheet_to

__all__ = ["correction_card", "correction_card_to", "run_sheet", "run_sheet_to"]
