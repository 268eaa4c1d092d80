"""Draw the pictures of the documentation anew: `.venv/bin/python docs/make_pictures.py`.

docs/img/run_sheet.png        the first page of the demo's run sheet, about 900 px wide
docs/img/correction_card.png  the card of the how-to on gauging
"""

from __future__ import annotations

from pathlib import Path

from caskward.services import Plan, plans
from caskward.services.gauging_card import card
from caskward.services.gauging_card_asks import CardAsk
from caskward.sheets.correction_card import correction_card_picture
from caskward.sheets.run_sheet import run_sheet_pictures

IMAGES = Path(__file__).parent / "img"
A4_WIDTH_IN = 210.0 / 25.4
WIDTH_PX = 900.0


def main() -> None:
    """Plan the invented farm's cask and draw what it looks like; draw a correction card."""
    plan = plans.plan_text(plans.starting_point())
    if not isinstance(plan, Plan):
        raise SystemExit(f"The demo cannot be planned: {plan.reason}")
    IMAGES.mkdir(exist_ok=True)
    first, *_ = run_sheet_pictures(plan, pixels_per_inch=WIDTH_PX / A4_WIDTH_IN)
    (IMAGES / "run_sheet.png").write_bytes(first)
    (IMAGES / "correction_card.png").write_bytes(
        correction_card_picture(card(CardAsk("oiml-3")), "Still house")
    )


if __name__ == "__main__":
    main()
