"""The Merkle tree over the events of a record, as in RFC 9162 section 2.1 (and RFC 6962).

Leaf hash SHA-256(0x00 || data), node hash SHA-256(0x01 || left || right), the empty tree SHA-256("").
A tree of n leaves splits at k, the largest power of two below n. Two short proofs follow:
*inclusion* (this leaf stands at this place of the tree with that root; at most ceil(log2 n) hashes) and
*consistency* (the tree with the old root is a beginning of the tree with the new root).

Places are counted from 0, sizes in leaves; hashes are 32 bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import chain, zip_longest

__all__ = ["EMPTY_ROOT", "Peaks", "Tree", "leaf_hash", "node_hash", "verify_consistency", "verify_inclusion"]

EMPTY_ROOT = sha256(b"").digest()


def leaf_hash(data: bytes) -> bytes:
    return sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    return sha256(b"\x01" + left + right).digest()


@dataclass(frozen=True)
class Peaks:
    """All that is needed to go on appending: the roots of the complete subtrees, largest first.

    `size` is a sum of powers of two, one peak for each: at most 20 hashes for a million events.
    """

    size: int = 0
    peaks: tuple[bytes, ...] = ()

    def add(self, leaf: bytes) -> Peaks:
        """The state after one more leaf hash."""
        peaks, size = [*self.peaks, leaf], self.size
        while size & 1:  # two subtrees of equal size: join them
            right = peaks.pop()
            peaks[-1] = node_hash(peaks[-1], right)
            size >>= 1
        return Peaks(self.size + 1, tuple(peaks))

    @property
    def root(self) -> bytes:
        if not self.peaks:
            return EMPTY_ROOT
        root = self.peaks[-1]
        for peak in reversed(self.peaks[:-1]):
            root = node_hash(peak, root)
        return root


class Tree:
    """Leaf hashes with every complete subtree kept: any root or proof costs O(log² n) hashes."""

    def __init__(self, leaves: Iterable[bytes] = ()) -> None:
        self._levels: list[list[bytes]] = [[*leaves]]  # [h][i]: root over leaves i·2^h … (i+1)·2^h − 1
        self._grow()

    @staticmethod
    def joined(trees: Sequence[Tree]) -> Tree:
        """Of trees that stand one behind another: each of one and the same 2^h leaves, the last of these or fewer."""
        joined = Tree()
        if trees:
            levels = zip_longest(*(tree._levels for tree in trees), fillvalue=[])
            joined._levels = [[*chain.from_iterable(level)] for level in levels]
            joined._grow()
        return joined

    def _grow(self) -> None:
        while len(below := self._levels[-1]) > 1:
            pairs = zip(below[::2], below[1::2], strict=False)  # one that is left over waits for its pair
            self._levels.append([node_hash(left, right) for left, right in pairs])

    @property
    def size(self) -> int:
        return len(self._levels[0])

    def leaves(self) -> tuple[bytes, ...]:
        return tuple(self._levels[0])

    def root(self, size: int | None = None) -> bytes:
        """The root of the first `size` leaves (all by default). Raises ValueError outside 0..self.size."""
        size = self._size(size)
        return self._over(0, size) if size else EMPTY_ROOT

    def peaks(self, size: int) -> Peaks:
        """What the first `size` leaves go on growing from. Raises ValueError outside 0..self.size."""
        size, start, found = self._size(size), 0, list[bytes]()
        for height in reversed(range(size.bit_length())):
            if size >> height & 1:
                found.append(self._levels[height][start >> height])
                start += 1 << height
        return Peaks(size, tuple(found))

    def inclusion(self, index: int, size: int | None = None) -> tuple[bytes, ...]:
        """RFC 9162 2.1.3.1. Raises ValueError unless 0 <= index < size <= self.size."""
        size = self._size(size)
        if not 0 <= index < size:
            raise ValueError(f"no leaf {index} in a tree of {size}")
        start, end, proof = 0, size, list[bytes]()
        while end - start > 1:
            middle = start + _split(end - start)
            if index < middle:
                proof.append(self._over(middle, end))
                end = middle
            else:
                proof.append(self._over(start, middle))
                start = middle
        return tuple(reversed(proof))

    def consistency(self, old: int, size: int | None = None) -> tuple[bytes, ...]:
        """RFC 9162 2.1.4.1; empty where old == size. ValueError unless 0 < old <= size <= self.size."""
        size = self._size(size)
        if not 0 < old <= size:
            raise ValueError(f"no consistency proof from {old} to {size} leaves")
        start, end, proof = 0, size, list[bytes]()
        while end != old:
            middle = start + _split(end - start)
            if old <= middle:
                proof.append(self._over(middle, end))
                end = middle
            else:
                proof.append(self._over(start, middle))
                start = middle
        if start:  # the old tree is not itself one complete subtree: its last part must be named
            proof.append(self._over(start, end))
        return tuple(reversed(proof))

    def _size(self, size: int | None) -> int:
        size = self.size if size is None else size
        if not 0 <= size <= self.size:
            raise ValueError(f"the tree has {self.size} leaves, not {size}")
        return size

    def _over(self, start: int, end: int) -> bytes:
        count = end - start
        if count & (count - 1) == 0:  # a complete subtree; the splits keep it aligned
            return self._levels[count.bit_length() - 1][start // count]
        middle = start + _split(count)
        return node_hash(self._over(start, middle), self._over(middle, end))


def verify_inclusion(leaf: bytes, index: int, size: int, proof: Sequence[bytes], root: bytes) -> bool:
    """Does the leaf hash stand at `index` of the tree of `size` leaves with this root? RFC 9162 2.1.3.2."""
    if not 0 <= index < size:
        return False
    place, last, found = index, size - 1, leaf
    for step in proof:
        if last == 0:
            return False
        if place & 1 or place == last:
            found = node_hash(step, found)
            while place & 1 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node_hash(found, step)
        place, last = place >> 1, last >> 1
    return last == 0 and found == root


def verify_consistency(old: int, old_root: bytes, size: int, root: bytes, proof: Sequence[bytes]) -> bool:
    """Is the tree (old, old_root) a beginning of the tree (size, root)? RFC 9162 2.1.4.2.

    An empty old tree is a beginning of every tree; equal sizes need equal roots and an empty proof.
    """
    if not 0 <= old <= size:
        return False
    if old in (0, size):
        return not proof and old_root == (EMPTY_ROOT if old == 0 else root)
    path = list(proof)
    if old & (old - 1) == 0:  # a complete subtree: its root is the first node of the path
        path.insert(0, old_root)
    if not path:
        return False
    place, last = old - 1, size - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    old_found = found = path[0]
    for step in path[1:]:
        if last == 0:
            return False
        if place & 1 or place == last:
            old_found, found = node_hash(step, old_found), node_hash(step, found)
            while place & 1 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node_hash(found, step)
        place, last = place >> 1, last >> 1
    return last == 0 and old_found == old_root and found == root


def _split(count: int) -> int:
    """The largest power of two below count (count > 1)."""
    return 1 << (count - 1).bit_length() - 1
