"""How many pieces of a thing are in use in every slot at once.

The counts are kept in binary across masks: plane ``i`` has bit ``s`` set when bit ``i``
of the count at slot ``s`` is. Adding to a whole span is then a handful of operations.
"""


class Tally:
    """Use of one thing of which ``capacity`` pieces exist."""

    def __init__(self, capacity: int) -> None:
        self.capacity = capacity
        self._planes: list[int] = []

    def add(self, slots: int, pieces: int) -> None:
        """Take pieces on every slot of a mask; may go over capacity."""
        plane = 0
        while pieces:
            if pieces & 1:
                self._carry(slots, plane)
            pieces >>= 1
            plane += 1

    def remove(self, slots: int, pieces: int) -> None:
        """Give pieces back that were taken on every slot of the mask."""
        planes = self._planes
        first = 0
        while pieces:
            if pieces & 1:
                borrow, plane = slots, first
                while borrow:
                    planes[plane] ^= borrow
                    borrow &= planes[plane]
                    plane += 1
            pieces >>= 1
            first += 1

    def room_for(self, pieces: int) -> int:
        """Slots on which that many more pieces are left (bits beyond time are set)."""
        limit = self.capacity - pieces
        if limit < 0:
            return 0
        over, level = 0, -1
        for plane in range(max(len(self._planes), limit.bit_length()) - 1, -1, -1):
            used = self._planes[plane] if plane < len(self._planes) else 0
            if limit >> plane & 1:
                level &= used
            else:
                over |= level & used
                level &= ~used
        return ~over

    def _carry(self, carry: int, plane: int) -> None:
        planes = self._planes
        while carry:
            while plane >= len(planes):
                planes.append(0)
            planes[plane], carry = planes[plane] ^ carry, planes[plane] & carry
            plane += 1
