"""Paper: a plan as a run sheet to print, with boxes for what is read in the shed.

run_sheet   a plan as PDF bytes, or written to a file; `run_sheet.typ` is the one template
page_data   what the template prints, as frozen dataclasses of text and lengths
forms       the empty boxes of each stage; river: the alcohol account in the order of the work
fonts/      the one typeface, with its licence
"""

from caskward.sheets.run_sheet import run_sheet, run_sheet_to

__all__ = ["run_sheet", "run_sheet_to"]
