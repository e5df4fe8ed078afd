"""Names out of the core vocabulary that hand-outs say in every language: slots, areas of the skin, events."""

from __future__ import annotations


def _(message: str) -> str:
    """Marks a message for the catalogues; it is translated where it is said."""
    return message


SLOTS = {"morning": _("Morning"), "midday": _("Midday"), "afternoon": _("Afternoon"), "evening": _("Evening")}

AREAS = {
    "face": _("face"),
    "forehead": _("forehead"),
    "brows": _("brows"),
    "cheeks": _("cheeks"),
    "nose": _("nose"),
    "nostril-corners": _("corners of the nostrils"),
    "chin": _("chin"),
    "jaw": _("jaw"),
    "beard": _("beard area"),
    "upper-lip": _("upper lip"),
    "mouth-corners": _("corners of the mouth"),
    "eye-area": _("area around the eyes"),
    "spots": _("single spots"),
    "lips": _("lips"),
    "scalp": _("scalp"),
    "ears": _("ears"),
    "neck": _("neck"),
    "chest": _("chest"),
    "nipples": _("nipples"),
    "back": _("back"),
    "abdomen": _("abdomen"),
    "arms": _("arms"),
    "upper-arms": _("upper arms"),
    "elbows": _("elbows"),
    "elbow-folds": _("bends of the elbows"),
    "forearms": _("forearms"),
    "underarms": _("underarms"),
    "hands": _("hands"),
    "groin": _("groin"),
    "buttocks": _("buttocks"),
    "legs": _("legs"),
    "thighs": _("thighs"),
    "knees": _("knees"),
    "lower-legs": _("lower legs"),
    "feet": _("feet"),
    "body": _("body"),
}

EVENTS = {
    "waxing": _("waxing"),
    "shaving": _("shaving"),
    "threading": _("threading"),
    "laser": _("laser treatment"),
    "clinic-peel": _("peel at a clinic"),
    "microneedling": _("microneedling"),
    "light-therapy": _("light therapy"),
    "hair-dyeing": _("hair dyeing"),
    "high-sun": _("days of strong sun"),
}
