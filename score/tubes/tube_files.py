"""What a set writes into a folder: the sheet, the template, the tuning log."""

from dataclasses import dataclass
from pathlib import Path

from score.tubes.cutting.cut_list import CutPlan
from score.tubes.drill_template import template_svg
from score.tubes.frame import Frame
from score.tubes.sheet import template_pdf, workshop_sheet
from score.tubes.tube_lengths import TubeSet
from score.tubes.tuning_log import new_log
from score.tubes.tuning_log_file import NAME, write_log
from score.writing import write_atomically

SHEET, TEMPLATE, DRAWING = "workshop-sheet.pdf", "drilling-template.pdf", "drilling-template.svg"


@dataclass(frozen=True, slots=True)
class Made:
    """Everything that was worked out.

    Attributes:
        tubes: the set.
        cutting: its cut list, None without stock.
        frame: its frame.
    """

    tubes: TubeSet
    cutting: CutPlan | None
    frame: Frame


def write_tubes(design: Made, folder: Path, paper: str = "a4", unit: str = "mm") -> tuple[Path, ...]:
    """Write sheet, template (PDF and SVG) and an empty tuning log into a folder.

    Raises:
        WritingError: the folder cannot be written, or holds a log with entries.
        RequestError: no such paper.
    """
    # The log goes first: it refuses where writing would lose what was entered.
    log = write_log(new_log(design.tubes), folder / NAME, fresh=True)
    sheet = workshop_sheet(design.tubes, design.cutting, design.frame, paper, unit)
    return (
        write_atomically(folder / SHEET, sheet),
        write_atomically(folder / TEMPLATE, template_pdf(design.frame, paper)),
        write_atomically(folder / DRAWING, template_svg(design.frame)),
        log,
    )
