"""The one error a user meets: what is wrong, where, what is wanted and the remedy, written as a sentence."""

import reprlib
from collections.abc import Iterable
from typing import Any, Self


class InputError(ValueError):
    """An input that cannot be used; `str` of it is one sentence.

    Attributes
    ----------
    where
        From the outside in: file, table and key, or the name of an argument; empty where there is only one place.
    problem
        What came, and what is wrong with it, as a clause that begins in lower case and has no full stop.
    wanted
        What would be right, as a noun such as ``"a quantity in MHz"``; may be empty.
    remedy
        What to write or do instead, as a clause; may be empty.
    faults
        The single refusals where several are reported together; the error itself where there is one.

    Examples
    --------
    >>> print(InputError("came in m", where="frequency", wanted="Hz", remedy="check the unit"))
    frequency: came in m, but Hz is wanted; check the unit.
    """

    def __init__(self, problem: str, *, where: str | tuple[str, ...] = (), wanted: str = "", remedy: str = "") -> None:
        super().__init__(problem)
        self.where: tuple[str, ...] = (where,) if isinstance(where, str) else tuple(where)
        self.problem = problem.removesuffix(".")
        self.wanted = wanted
        self.remedy = remedy.removesuffix(".")
        self.faults: tuple[InputError, ...] = (self,)

    def __str__(self) -> str:
        """Write the sentence, or one a line for several faults."""
        return "\n".join(fault._sentence() for fault in self.faults)

    def _sentence(self) -> str:
        wanted = f", but {_line(self.wanted)} is wanted" if self.wanted else ""
        remedy = f"; {_line(self.remedy)}" if self.remedy else ""
        clause = f"{_line(self.problem)}{wanted}{remedy}"
        return ": ".join((*map(_line, self.where), clause if clause.endswith("?") else f"{clause}."))

    def __reduce__(self) -> tuple[Any, ...]:
        """Survive pickling, so that a pool of processes can return a refusal."""
        return _restored, (type(self), [fault._fields() for fault in self.faults])

    def _fields(self) -> dict[str, Any]:
        return {"problem": self.problem, "where": self.where, "wanted": self.wanted, "remedy": self.remedy}

    def within(self, *outer: str) -> Self:
        """Return the refusal with the places that enclose it put first, such as a file's name.

        Parameters
        ----------
        *outer
            Places that enclose it, the outermost first.

        Returns
        -------
        InputError
            A new refusal; this one stays as it is.
        """
        return self._placed(lambda where: (*outer, *where))

    def at(self, *where: str) -> Self:
        """Return the refusal of another function's argument as one of the caller's own.

        Parameters
        ----------
        *where
            The places that take the old ones' place.

        Returns
        -------
        InputError
            A new refusal; this one stays as it is.
        """
        return self._placed(lambda _: where)

    def renamed(self, argument: str, own: str) -> Self:
        """Return the refusal with an argument's name replaced by the caller's own name for it.

        Parameters
        ----------
        argument
            Name that the refusal gives.
        own
            The caller's name for it.

        Returns
        -------
        InputError
            A new refusal; this one stays as it is.
        """
        return self._placed(lambda where: tuple(own if place == argument else place for place in where))

    def _placed(self, move: Any) -> Self:
        return _restored(type(self), [fault._fields() | {"where": move(fault.where)} for fault in self.faults])

    @classmethod
    def together(cls, faults: "Iterable[InputError]") -> "InputError":
        """Return several refusals as one."""
        single = [one for fault in faults for one in fault.faults]
        return _restored(cls, [fault._fields() for fault in single])


_LONGEST = 400


def _line(text: str) -> str:
    """Return a part of a sentence on one line and bounded, since a name that is quoted may be a whole page."""
    plain = " ".join(text.split())
    return plain if len(plain) <= _LONGEST else f"{plain[:60]}...{plain[-60:]}"


def _restored(kind: Any, fields: list[dict[str, Any]]) -> Any:
    made = [kind(**each) for each in fields]
    first = made[0]
    if len(made) > 1:
        first.faults = (kind(**fields[0]), *made[1:])
    return first


_SHORT = reprlib.Repr()
_SHORT.maxstring = _SHORT.maxother = _SHORT.maxlong = 60


def shown(value: Any) -> str:
    """Return a value as it may stand in a sentence: on one line, and short whatever came."""
    try:
        # a day or a time of TOML reads best as it was written
        text = value.isoformat() if hasattr(value, "isoformat") else _SHORT.repr(value)
    except Exception:  # a value that cannot even be shown must still be refused in words
        text = f"a {type(value).__name__}"
    text = " ".join(text.split())
    return text if len(text) <= 80 else f"{text[:77]}..."
