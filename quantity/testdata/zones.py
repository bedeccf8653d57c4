"""Read "ZONE WALL" lines, print the UTC seconds at which the zone's clocks
show WALL: none in a gap, two in a fold.

An independent reading of local times by Python's zoneinfo (PEP 495: a local
time exists with a fold if it comes back unchanged from UTC).
"""

import sys
from datetime import datetime, timezone
from zoneinfo import ZoneInfo

for line in sys.stdin:
    name, wall = line.split()
    zone = ZoneInfo(name)
    local = datetime.fromisoformat(wall)
    found = set()
    for fold in (0, 1):
        at = local.replace(tzinfo=zone, fold=fold).astimezone(timezone.utc)
        if at.astimezone(zone).replace(tzinfo=None) == local:
            found.add(int(at.timestamp()))
    print(*sorted(found))
