"""What the rounds of one player say to the others of an archive: where the model goes wrong."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sgputt.practice.departures import Surplus
from sgputt.practice.needs import ROUNDS_TO_TELL

# Players whose rounds are looked at for another's: with so many what they have in common is known
# well enough. A choice; each takes about a second, once.
MOST_PEERS = 24


@dataclass(frozen=True)
class PeerRecord:
    """What one player's rounds say to others; plain values that may be kept.

    Attributes
    ----------
    surpluses : tuple of Surplus
        What they gained by place beyond what their own stroke would; empty where rounds are few.
    """

    surpluses: tuple[Surplus, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return asdict(self)

    @classmethod
    def from_dict(cls, values: dict[str, Any]) -> PeerRecord:
        """Back from JSON.

        Raises
        ------
        KeyError, TypeError, ValueError
            They are not the values of a record.
        """
        return cls(
            tuple(
                Surplus(
                    (float(low), float(high), str(slope)),
                    float(each["gained"]),
                    float(each["error"]),
                    bool(each["further"]),
                )
                for each in values["surpluses"]
                for low, high, slope in [each["place"]]
            ),
        )


def peers_among(rounds: Mapping[str, int], practised: Collection[str], player: str) -> list[str]:
    """Players whose records say something to one of them: those of most rounds, loggers first.

    Parameters
    ----------
    rounds : mapping of str to int
        Rounds of every player, by name.
    practised : collection of str
        Players who logged practice.
    player : str
        The one they are peers of.
    """
    names = [name for name, many in rounds.items() if many >= ROUNDS_TO_TELL and name != player]
    names.sort(key=lambda name: (name not in practised, -rounds[name], name))
    return names[:MOST_PEERS]
