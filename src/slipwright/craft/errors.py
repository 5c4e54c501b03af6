"""What the sums say when they are asked something they cannot answer."""

from __future__ import annotations


class BadArgument(ValueError):
    """An argument breaks a rule; carries the argument's name, the rule and the value received.

    Parameters
    ----------
    argument : str
        Name of the argument.
    rule : str
        What it must be, in words that follow "must".
    value : object
        What was received.

    References
    ----------
    Not a figure: it says which rule was broken.

    Examples
    --------
    >>> raise BadArgument("mean", "lie between 0 and 1", 1.5)
    Traceback (most recent call last):
    slipwright.craft.errors.BadArgument: mean must lie between 0 and 1, not 1.5
    """

    def __init__(self, argument: str, rule: str, value: object) -> None:
        super().__init__(f"{argument} must {rule}, not {value!r}")
        self.argument = argument
        self.rule = rule
        self.value = value

    def __reduce__(self) -> tuple[type[BadArgument], tuple[str, str, object]]:
        """Rebuild from the three parts, so that the error survives a trip between processes."""
        return type(self), (self.argument, self.rule, self.value)


class OutOfReach(ValueError):
    """No number of cuttings up to the limit gives the assurance asked for.

    Parameters
    ----------
    n_wanted : int
        Plants wanted [1].
    assurance : float
        Probability wished [-].
    limit : int
        Largest number to stick that was tried [1].
    p_reached : float
        Probability at the limit [-].

    References
    ----------
    Not a figure: it says which rule was broken.

    Examples
    --------
    >>> raise OutOfReach(12, 0.9, 1000, 0.25)
    Traceback (most recent call last):
    slipwright.craft.errors.OutOfReach: no number to stick up to 1,000 gives 12 rooted with \
assurance 0.9: 1,000 give it with probability 0.25
    """

    def __init__(self, n_wanted: int, assurance: float, limit: int, p_reached: float) -> None:
        super().__init__(
            f"no number to stick up to {limit:,} gives {n_wanted:,} rooted with assurance "
            f"{assurance:g}: {limit:,} give it with probability {p_reached:.3g}"
        )
        self.n_wanted = n_wanted
        self.assurance = assurance
        self.limit = limit
        self.p_reached = p_reached

    def __reduce__(self) -> tuple[type[OutOfReach], tuple[int, float, int, float]]:
        """Rebuild from the four parts, so that the error survives a trip between processes."""
        return type(self), (self.n_wanted, self.assurance, self.limit, self.p_reached)
