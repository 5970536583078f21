"""A terminal that shows pictures in cells, as far as our screens use one: it answers what it is asked and keeps what
was written, cell by cell. Written from the protocols' descriptions; it knows nothing of the code it reads."""

import base64
import re
import unicodedata
from dataclasses import dataclass, field

PLACEHOLDER = "\U0010eeee"
_TOKEN = re.compile(
    rb"\x1b_G(?P<keys>[^;\x1b]*)(?:;(?P<payload>[^\x1b]*))?\x1b\\"
    rb"|\x1b\[(?P<private>[?<>=]?)(?P<numbers>[\d;:]*)(?P<between>[ -/]*)(?P<final>[@-~])"
    rb"|\x1b[PX^\]][^\x1b\x07]*(?:\x1b\\|\x07)|\x1b[ -/]*[0-~]"
    rb"|[\r\n\x07\x08\t]|(?P<text>[^\x1b\r\n\x07\x08\t]+)"
)
_PARTIAL = re.compile(rb"\x1b(?:_G[^\x1b]*\x1b?|\[[?<>=]?[\d;:]*[ -/]*|[PX^\]][^\x1b\x07]*\x1b?|[ -/]*)?$")


@dataclass
class Cell:
    text: str = " "
    ink: str = ""
    ground: str = ""


@dataclass
class Picture:
    columns: int
    rows: int
    png: bytes


@dataclass
class ScreenReader:
    """What stands on the screen, and which pictures the terminal holds by their numbers."""

    columns: int
    rows: int
    cell: tuple[int, int] = (9, 18)
    answers: bytes = b""
    pictures: dict[int, Picture] = field(default_factory=dict)
    sent: list[int] = field(default_factory=list)
    forgotten: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.cells = [[Cell() for _ in range(self.columns)] for _ in range(self.rows)]
        self.x = self.y = 0
        self.ink = self.ground = ""
        self._rest = b""
        self._open: tuple[dict[str, str], list[bytes]] | None = None

    def resize(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.cells = [[Cell() for _ in range(columns)] for _ in range(rows)]

    def feed(self, data: bytes) -> None:
        data = self._rest + data
        partial = _PARTIAL.search(data)
        self._rest = partial[0] if partial else b""
        data = data[: len(data) - len(self._rest)]
        try:
            data.decode()
        except UnicodeDecodeError as error:
            if error.end == len(data):
                self._rest, data = data[error.start :] + self._rest, data[: error.start]
        for token in _TOKEN.finditer(data):
            self._take(token)

    def _take(self, token: re.Match[bytes]) -> None:
        if token["keys"] is not None:
            self._graphics(dict(pair.split("=") for pair in token["keys"].decode().split(",")), token["payload"] or b"")
        elif token["final"] is not None:
            self._control(token["private"].decode(), token["numbers"].decode(), token["final"].decode())
        elif token["text"] is not None:
            for letter in token["text"].decode():
                self._letter(letter)
        elif token[0] == b"\r":
            self.x = 0
        elif token[0] == b"\n":
            self.y = min(self.rows - 1, self.y + 1)

    def _letter(self, letter: str) -> None:
        if unicodedata.combining(letter) and self.y < self.rows:
            self.cells[self.y][min(self.x, self.columns) - 1].text += letter
        elif self.x < self.columns and self.y < self.rows:
            self.cells[self.y][self.x] = Cell(letter, self.ink, self.ground)
            self.x += 1

    def _control(self, private: str, numbers: str, final: str) -> None:
        values = [int(number or 0) for number in re.split("[;:]", numbers)] if numbers else []
        if final == "H" and not private:
            self.y, self.x = (values[0] - 1, values[1] - 1) if len(values) == 2 else (0, 0)
        elif final == "C":
            self.x = min(self.columns - 1, self.x + max(1, values[0] if values else 1))
        elif final == "m" and not private:
            self._style(values or [0])
        elif final in "JK" and not private:
            for row in self.cells if final == "J" else [self.cells[self.y]]:
                row[:] = [Cell() for _ in row]
        elif final == "n" and values == [6]:
            self.answers += f"\x1b[{self.y + 1};{self.x + 1}R".encode()
        elif final == "t" and values == [16]:
            self.answers += f"\x1b[6;{self.cell[1]};{self.cell[0]}t".encode()
        elif final == "c" and not private:
            self.answers += b"\x1b[?62;4c"

    def _style(self, values: list[int]) -> None:
        while values:
            code = values.pop(0)
            if code == 0:
                self.ink = self.ground = ""
            elif code in (38, 48):
                kind = values.pop(0)
                colour = f"color({values.pop(0)})" if kind == 5 else "#" + "".join(f"{v:02x}" for v in values[:3])
                if kind == 2:
                    del values[:3]
                self.ink, self.ground = (colour, self.ground) if code == 38 else (self.ink, colour)
            elif code == 39:
                self.ink = ""
            elif code == 49:
                self.ground = ""

    def _graphics(self, keys: dict[str, str], payload: bytes) -> None:
        if keys.get("a") == "d":
            self.pictures.pop(int(keys["i"]), None)
            self.forgotten.append(int(keys["i"]))
            return
        if self._open is None:
            self._open = keys, []
        self._open[1].append(payload)
        if keys.get("m", "0") == "1":
            return
        first, pieces = self._open
        self._open = None
        assert first["a"] == "T"
        assert first["U"] == "1"
        data = base64.b64decode(b"".join(pieces), validate=True)
        number = int(first["i"])
        self.pictures[number] = Picture(int(first["c"]), int(first["r"]), data)
        self.sent.append(number)
        if first.get("q", "0") == "0":
            self.answers += f"\x1b_Gi={number};OK\x1b\\".encode()

    def image_cells(self) -> dict[int, dict[tuple[int, int], tuple[str, str]]]:
        """By picture: (row, column) on the screen to (marks, ground)."""
        shown: dict[int, dict[tuple[int, int], tuple[str, str]]] = {}
        for y, row in enumerate(self.cells):
            for x, cell in enumerate(row):
                if cell.text.startswith(PLACEHOLDER):
                    number = int(cell.ink.removeprefix("color(").rstrip(")"))
                    shown.setdefault(number, {})[y, x] = cell.text[1:], cell.ground
        return shown

    def text(self) -> str:
        return "\n".join("".join(cell.text[0] for cell in row).rstrip() for row in self.cells)
