"""A recording instead of the machine's players: one key takes it and gives it back, another jumps to a second one."""

from dataclasses import replace
from functools import partial
from pathlib import Path

from score.errors import InbreathError
from tui.background import beside
from tui.recorded_practice import keep_path, kept_path, listen_to
from tui.screens.practice_stage import PracticeStage
from tui.screens.prompts import AskLine
from tui.session import Session

_QUESTION = "A recording of the piece (it stays on this machine)"


class PracticeRecording(PracticeStage):
    """Which recordings are at hand; both keys change what sounds from the next beat on."""

    def __init__(self, session: Session, chunk: int) -> None:
        super().__init__(session, chunk)
        self.recordings: list[str] = []

    def action_recording(self) -> None:
        """Play along with a recording, or with the machine's players again."""
        if self.setting.recording:
            self._sound_with("")
            self._say("The machine's players again.")
        elif self.recordings:
            self._sound_with(self.recordings[0])
        else:
            self._ask(kept_path(self.session))

    def action_other_recording(self) -> None:
        """The other recording, at the same place; the first time it is asked for."""
        if not self.setting.recording:
            self._say("Press P first: another recording can be heard beside one.")
        elif len(self.recordings) < 2:
            self._ask("")
        else:
            self.recordings.reverse()
            self._sound_with(self.recordings[0])

    def toggle_beside(self, number: int) -> None:
        """A player of the machine beside the recording, or not."""
        self._set(replace(self.setting, beside=self.setting.beside ^ {number}))

    def _ask(self, prefilled: str) -> None:
        self.app.push_screen(AskLine(_QUESTION, "take.flac, .wav, .mp3 or .ogg", prefilled), self._typed_recording)

    def _typed_recording(self, path: str | None) -> None:
        if not path:
            return
        self._say(f"Listening to {Path(path).name} …")
        shown = ["", -1]

        def progress(step: str, share: float) -> None:
            percent = int(20 * share) * 5
            if [step, percent] != shown:
                shown[:] = [step, percent]
                self.app.call_from_thread(self._say, f"{Path(path).name}: {step} {percent} %")

        work = partial(listen_to, self.session, path, progress)
        beside(self, "recording", work, self._recording_heard, self._not_heard)

    def _recording_heard(self, path: str) -> None:
        if path in self.recordings:
            self.recordings.remove(path)
        self.recordings = [path, *self.recordings][:2]
        keep_path(self.session, path)
        self._sound_with(path)

    def _not_heard(self, error: InbreathError) -> None:
        self.app.say(error.line, is_trouble=True)  # type: ignore[attr-defined]

    def _sound_with(self, path: str) -> None:
        self._set(replace(self.setting, recording=path, trial=None))
        if path:
            self._say(f"With {Path(path).name}. P: the machine again. B: another recording at the same place.")
