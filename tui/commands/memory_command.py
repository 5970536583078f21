"""`inbreath memory`: what could be taken for something else, and questions about the piece."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from score.errors import RequestError
from tui.commands.command_common import json_option, open_score, print_json, score_argument
from tui.commands.memory_files import file_options, write_memory_files
from tui.commands.memory_today import lost_today, today_by_heart
from tui.option_numbers import PLAYER, number_option
from tui.progress_line import Progress

if TYPE_CHECKING:
    from score.group.group_file import Group
    from score.memory.question import Question
    from score.piece import Piece, Player
    from score.takes.heart_passages import LostPassage


@click.command("memory")
@score_argument
@click.option("--player", type=PLAYER, required=True, metavar="N", help="Whose part is to be known by heart.")
@number_option(
    "--questions", between=(1, 500), whole=True, metavar="N", help="Print this many questions with their answers."
)
@number_option(
    "--round", "lap", between=(1, 9999), whole=True, default=1, metavar="N", help="Another round of questions."
)
@click.option("--today", is_flag=True, help="What is due by your own history: places lost by heart, then questions.")
@click.option("--transposed", is_flag=True, help="Also passages that are the same but higher or lower.")
@file_options
@json_option
def command(score: Path, player: int, as_json: bool, **asked: Any) -> None:
    """Passages of SCORE that a player could take for one another: where they part, and how often a bar comes.

    What was lost in passes by heart and comes back today stands first. With --json: families, traps, shifted, and
    passages (bar, last_bar; enter and leave: the bars to play, all indices from 0); with --today passages, questions
    and minutes; with --questions id, kind, bar (index from 0), at (quarters into it), text, choices, answer.

    With --questions: questions that only somebody who knows the piece can answer, about who moves, who leads in, how
    long to wait and what comes after. Every one has one right answer, repeats and jumps included. Think first, then
    look at the choices. Facts about a piece come back better when they are asked on several days; whether that
    carries to the hands is not shown.

    With --listen: a sound file. The music stops, two tones, time to think, and it goes on: what comes is the answer.
    Use headphones only where you need not hear what is around you.
    """
    if asked["today"] and asked["questions"] is not None:
        raise RequestError("Today or a round", "--today and --questions were both given", "leave out one of them")
    with Progress() as progress:
        reading, group = open_score(score, progress)
        from score.places import find_player

        own = find_player(reading.piece, player)
        files = write_memory_files(reading, group, own, asked, progress)
    if files:
        if as_json:
            print_json([file.values for file in files])
        else:
            click.echo("\n".join(file.text for file in files))
    elif asked["today"]:
        _today(reading.piece, group, own, as_json)
    elif asked["questions"] is None:
        _look_alikes(reading.piece, group, own, asked["transposed"], as_json)
    else:
        _questions(reading.piece, own, asked, as_json)


def _look_alikes(piece: "Piece", group: "Group", player: "Player", transposed: bool, as_json: bool) -> None:
    from score.memory.explain import families_json, families_text
    from score.memory.families import counting_traps, families
    from score.memory.half_bars import shifted_worth_knowing
    from score.takes.heart_passages import passages_json

    alike, traps = families(piece, player, transposed), counting_traps(piece, player)
    shifted = shifted_worth_knowing(piece, player)
    lost = lost_today(piece, group, player)
    if as_json:
        print_json(families_json(piece, player, alike, traps, shifted) | {"passages": passages_json(lost)})
    else:
        texts = [*_lost_lines(piece, lost), families_text(piece, player, alike, traps, shifted)]
        click.echo("\n".join(texts))


def _lost_lines(piece: "Piece", lost: "tuple[LostPassage, ...]") -> list[str]:
    from score.takes.heart_passages import passage_words

    if not lost:
        return []
    return ["Lost by heart, back today", *(f"  {passage_words(piece, each)}" for each in lost), ""]


def _today(piece: "Piece", group: "Group", player: "Player", as_json: bool) -> None:
    from score.memory.question_round import questions_json
    from score.takes.heart_passages import passages_json

    day = today_by_heart(piece, group, player)
    if as_json:
        minutes = day.passage_minutes + day.question_minutes
        passages, questions = passages_json(day.passages), questions_json(day.questions)
        print_json({"passages": passages, "questions": questions, "minutes": minutes})
    elif not (day.passages or day.questions):
        click.echo("Nothing is due today.")
    else:
        asked = [_as_text(piece, day.questions)] if day.questions else []
        click.echo("\n".join([*_lost_lines(piece, day.passages), *asked]))


def _questions(piece: "Piece", player: "Player", asked: dict[str, Any], as_json: bool) -> None:
    from score.memory.question_round import question_round, questions_json

    chosen = question_round(piece, player, asked["questions"], asked["lap"])
    if as_json:
        print_json(questions_json(chosen))
    else:
        click.echo(_as_text(piece, chosen))


def _as_text(piece: "Piece", questions: "tuple[Question, ...]") -> str:
    """Questions first, answers with their bars after all of them."""
    from score.places import bar_name

    asked = [
        "\n".join((f"{number}  {question.text}", *(f"     {choice}" for choice in question.choices)))
        for number, question in enumerate(questions, 1)
    ]
    answers = []
    for number, question in enumerate(questions, 1):
        opinion = "" if question.is_scored else ", as we hear it"
        answers.append(f"{number}  {question.answer}  (bar {bar_name(piece, question.bar)}{opinion})")
    if not questions:
        return "Nothing in this part can be asked with one right answer."
    return "\n\n".join([*asked, "\n".join(["Answers", *answers])])
