# SPDX-License-Identifier: Apache-2.0
"""Six mistakes of a kind that real records hold. Each one costs somebody money."""

import copy

# what went wrong, then (path, value) of each edit; a value of None removes the member
MISTAKES = [
    ("studio 4 is billed from the channel of studio 3",
     [(("points", "studio-4", "elements"), {"W3-09": 1})]),
    ("a ratio of the chandlery was typed as 200 A; the CT is 100 A",
     [(("channels", "W1-11", "primary_amps"), 200)]),
    ("the CT of the kiln hangs the wrong way round, and nothing undoes it",
     [(("cts", "WS-11.C", "mark_faces"), "load")]),
    ("flat 2 has two legs and a neutral, but one CT that is counted double",
     [(("points", "flat-2", "elements"), {"W2-04": 1}),
      (("channels", "W2-04", "multiplier"), 2),
      (("channels", "W2-05"), None),
      (("cts", "R1-2.B"), None)]),
    ("the supply of the meters is billed to the bakery",
     [(("points", "meter-supply", "use"), "billing"),
      (("points", "meter-supply", "premises"), "bakery")]),
    ("the charging post stands in no roll-up",
     [(("rollups", "yard", "points", "charging"), None)]),
]


def spoil(site):
    """A copy of the record with the six mistakes."""
    wrong = copy.deepcopy(site)
    for _, edits in MISTAKES:
        for path, value in edits:
            place = wrong
            for key in path[:-1]:
                place = place[key]
            if value is None:
                del place[path[-1]]
            else:
                place[path[-1]] = value
    return wrong
