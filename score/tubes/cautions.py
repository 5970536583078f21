"""What must be said before anybody saws, drills or burns.

Common practice of the workshop, no single source; the hours of noise are those of NIOSH (criteria for a
recommended standard, 1998): 8 hours at 85 dBA, halved for every 3 dB.
"""

CAUTIONS = (
    "The tool maker's instructions, your local codes and rules, and people qualified on the machine come before "
    "anything said here. If you have not been shown a tool, have somebody who knows it make the cuts.",
    "Clamp the pipe in a V-block or a mitre box, support its whole length, use a fine-tooth blade, let the blade stop "
    "before you reach for the piece, and deburr every edge inside and out.",
    "Wear eye and ear protection, and a dust mask where you saw or sand; keep sleeves, hair and cords away.",
    "Clamp plywood on a backing board before you use a hole saw; hold the drill with both hands. "
    "No gloves near anything that turns.",
    "Never burn PVC, nor cut it with a laser or a hot wire: it gives off hydrogen chloride. "
    "Cement and cleaner need fresh air and no flame; follow their labels.",
    "Tubes struck in a small room are loud. By one public-health guideline, which is called imperfect for musicians, "
    "88 dBA is a day's dose in 4 hours, 94 dBA in 1 hour, 100 dBA in a quarter of an hour. Protect your ears while "
    "tuning.",
    "Work and tune in spells with breaks, a little more each day; stop when something hurts or goes numb.",
)
"""One line each, in the order of a day in the workshop."""
