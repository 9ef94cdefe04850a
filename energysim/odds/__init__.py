"""
The odds of a day: thousands like it are run, each otherwise by what is not known.

`run_odds` answers for a scenario. `run_members` runs the members of a plan and leaves what each
came to, for whoever asks something else of them; members of one seed share their draws.
"""

from energysim.odds.chunk import Chunk, MembersRead, joined, work
from energysim.odds.run import run_members, run_odds
from energysim.odds.tell import odds_result

__all__ = ["Chunk", "MembersRead", "joined", "odds_result", "run_members", "run_odds", "work"]
