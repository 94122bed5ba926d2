"""What the rounds of one player say to the others of an archive or squad.

Where the model goes wrong for everybody, and what practice has brought.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sgputt.practice.brought import FEWEST_ROUNDS, Brought
from sgputt.practice.departures import Surplus

# Players whose rounds are looked at: from so many what they have in common is known well enough. A
# choice; each takes about a second, once.
MOST_PEERS = 24


@dataclass(frozen=True)
class PeerRecord:
    """What one player's rounds say to others; plain values that may be kept.

    Attributes
    ----------
    surpluses : tuple of Surplus
        What they gained by place beyond what their own stroke would; empty where rounds are few.
    brought : tuple of Brought
        What practice has brought them; empty where that cannot be seen.
    """

    surpluses: tuple[Surplus, ...] = ()
    brought: tuple[Brought, ...] = ()

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
            tuple(Brought.from_dict(each) for each in values["brought"]),
        )


def with_a_say(
    rounds: Mapping[str, int], practised: Collection[str], player: str | None = None
) -> list[str]:
    """Players whose records say something, by name: those who logged practice and of most rounds.

    Parameters
    ----------
    rounds : mapping of str to int
        Rounds of every player, by name.
    practised : collection of str
        Players who logged practice.
    player : str, optional
        To whom they say it: they have nothing to say to themselves.
    """
    enough = [name for name, many in rounds.items() if many >= 2 * FEWEST_ROUNDS]
    names = [name for name in enough if name != player]
    names.sort(key=lambda name: (name not in practised, -rounds[name], name))
    return sorted(names[:MOST_PEERS])
