"""
Asking: a question with its default, asked again with the reason until the answer will do.

Depends on: errors.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, TextIO, TypeVar

from energysim.errors import RefusedValueError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from energysim.errors import Problem

Answer = TypeVar("Answer")

LONGEST_ANSWER = 500
"""Characters in one answer; more is a file poured in by mistake (ours)."""


class EndOfAnswersError(Exception):
    """The answers end, or cannot be read, in the middle of the questions."""


class Prompt:
    """A conversation: questions on one stream, answers from another."""

    def __init__(self, *, answers: TextIO, questions: TextIO) -> None:
        self._answers = answers
        self._questions = questions

    def say(self, text: str = "") -> None:
        """Tell something that needs no answer."""
        self._questions.write(f"{text}\n")

    def show(self, rows: Sequence[tuple[str, str]]) -> None:
        """Show a list to choose from, numbered from 1."""
        widest = max(len(name) for name, _ in rows)
        for number, (name, about) in enumerate(rows, start=1):
            self.say(f"  {number:>2}  {name:<{widest}}  {about}")

    def ask(
        self,
        question: str,
        *,
        default: str,
        read: Callable[[str], Answer],
        example: str = "",
        key: str = "",
    ) -> Answer:
        """
        Return the first answer that will do.

        Parameters
        ----------
        question : str
            In plain words, without a question mark's worth of jargon.
        default : str
            What Enter stands for; it is read like any other answer.
        read : callable
            Turns an answer into what is wanted, or raises RefusedValueError or ScenarioError.
        example : str
            Other answers, shown with the question.
        key : str
            The scenario's key, left out of a message that is about nothing else.

        Raises
        ------
        EndOfAnswersError
            There are no more answers.
        """
        such_as = f" (such as {example})" if example else ""
        while True:
            answer = self._line(f"{question}{such_as} [{default}]: ", question)
            try:
                return read(_clean(answer) or default)
            except (RefusedValueError, ScenarioError) as error:
                self.refuse(error, key=key)

    def ask_lines(
        self,
        *,
        what: str,
        read: Callable[[str], str],
        finish: Callable[[], Sequence[Problem]],
    ) -> None:
        """
        Take answers line by line until an empty one.

        Parameters
        ----------
        what : str
            What a line is, before its number: "leg".
        read : callable
            Keeps a line, and returns how it was understood; raises as in `ask`.
        finish : callable
            Returns what the lines as a whole still want; nothing ends the questions.
        """
        number = 1
        while True:
            answer = _clean(self._line(f"  {what} {number}: ", what))
            try:
                if answer:
                    self.say(f"    {read(answer)}")
                    number += 1
                    continue
            except (RefusedValueError, ScenarioError) as error:
                self.refuse(error)
                continue
            problems = finish()
            if not problems:
                return
            self.refuse(ScenarioError(list(problems)))

    def refuse(self, error: RefusedValueError | ScenarioError, *, key: str = "") -> None:
        """Say why an answer will not do."""
        if isinstance(error, RefusedValueError):
            self.say(f"  {_sentence(error.reason, error.hint)}")
            return
        for problem in error.problems:
            about = f"{problem.path}: " if problem.path and problem.path != key else ""
            self.say(f"  {about}{_sentence(problem.reason, problem.hint)}")

    def _line(self, text: str, question: str) -> str:
        """Show a question and read one line."""
        self._questions.write(text)
        self._questions.flush()
        try:
            line = self._answers.readline(LONGEST_ANSWER)
        except UnicodeDecodeError:
            raise EndOfAnswersError(f"the answer to {question!r} is not UTF-8 text") from None
        if not line:
            raise EndOfAnswersError(f"the answers end at {question!r}")
        if not line.endswith("\n") and len(line) >= LONGEST_ANSWER:
            raise EndOfAnswersError(f"the answer to {question!r} is too long")
        if not self._answers.isatty():
            self._questions.write("\n")
        return line


def _clean(answer: str) -> str:
    """Return an answer as it may stand in a file; what no file holds becomes a blank."""
    kept = (" " if unicodedata.category(sign) in {"Cc", "Cs"} else sign for sign in answer)
    return "".join(kept).strip()


def _sentence(reason: str, hint: str) -> str:
    return f"{reason} ({hint})" if hint else reason
