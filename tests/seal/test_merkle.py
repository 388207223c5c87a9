"""The tree and its proofs against the definition of RFC 9162 2.1, written down again word by word, and
against a peer library; and every single altered hash is found."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from itertools import pairwise

import pytest
from pymerkle import InmemoryTree

from rackwright.seal import Peaks, Tree, leaf_hash, verify_consistency, verify_inclusion

SIZES = 257  # proofs for trees of 0 to 256 leaves, and one more leaf to be wrong about
DATA = [b"event %d" % i for i in range(SIZES)]
LEAVES = [leaf_hash(data) for data in DATA]
TREE = Tree(LEAVES)
ROOTS = [TREE.root(size) for size in range(SIZES + 1)]


def _k(n: int) -> int:
    """The largest power of two smaller than n."""
    return max(2**i for i in range(n.bit_length()) if 2**i < n)


# RFC 9162 2.1.1, 2.1.3.1 and 2.1.4.1 as they stand there; a list D[a:b] is named by its ends, so that results can
# be kept.


@cache
def mth(a: int, b: int) -> bytes:
    if a == b:
        return sha256(b"").digest()
    if b - a == 1:
        return sha256(b"\x00" + DATA[a]).digest()
    k = _k(b - a)
    return sha256(b"\x01" + mth(a, a + k) + mth(a + k, b)).digest()


def path(m: int, a: int, b: int) -> list[bytes]:
    if b - a == 1:
        return []
    k = _k(b - a)
    if m < k:
        return [*path(m, a, a + k), mth(a + k, b)]
    return [*path(m - k, a + k, b), mth(a, a + k)]


def subproof(m: int, a: int, b: int, whole: bool) -> list[bytes]:
    n = b - a
    if m == n:
        return [] if whole else [mth(a, b)]
    k = _k(n)
    if m <= k:
        return [*subproof(m, a, a + k, whole), mth(a + k, b)]
    return [*subproof(m - k, a + k, b, False), mth(a, a + k)]


def test_roots_grow_alike_in_three_ways() -> None:
    peaks = Peaks()
    for size in range(SIZES + 1):
        assert TREE.root(size) == peaks.root == mth(0, size)
        assert len(peaks.peaks) == size.bit_count()
        if size < SIZES:
            peaks = peaks.add(LEAVES[size])


def test_the_peaks_of_every_beginning_are_those_it_grew_through() -> None:
    grown = Peaks()
    for size in range(SIZES + 1):
        assert TREE.peaks(size) == grown
        grown = grown.add(LEAVES[size]) if size < SIZES else grown


@pytest.mark.parametrize("height", range(6))
def test_trees_that_stand_one_behind_another_join_to_the_tree_over_all(height: int) -> None:
    part = 1 << height
    for size in (0, 1, part, part + 1, 3 * part - 1, 3 * part, SIZES):
        parts = [Tree(LEAVES[start : min(start + part, size)]) for start in range(0, size, part)]
        joined = Tree.joined(parts)
        assert joined.leaves() == tuple(LEAVES[:size])
        for asked in range(size + 1):
            assert joined.root(asked) == ROOTS[asked]
            assert joined.peaks(asked) == TREE.peaks(asked)


def test_what_holds_for_small_trees_holds_for_one_of_more_leaves_than_a_byte_counts() -> None:
    leaves = [leaf_hash(b"event %d" % i) for i in range(1050)]
    tree = Tree(leaves)
    for size in (258, 512, 513, 1023, 1024, 1025, 1050):
        root = tree.root(size)
        for old in sorted({1, 2, 255, 256, 257, 258, 300, 511, 512, 513, 1000, 1024, size - 1, size}):
            if old <= size:
                assert verify_consistency(old, tree.root(old), size, root, tree.consistency(old, size))
                assert verify_inclusion(leaves[old - 1], old - 1, size, tree.inclusion(old - 1, size), root)


@pytest.mark.parametrize("size", [-1, SIZES + 1])
def test_a_size_that_the_tree_has_not_is_refused(size: int) -> None:
    for asked in (
        TREE.root,
        TREE.peaks,
        lambda size: TREE.inclusion(0, size),
        lambda size: TREE.consistency(1, size),
    ):
        with pytest.raises(ValueError, match=f"not {size}"):
            asked(size)


@pytest.mark.parametrize(("index", "size"), [(-1, 5), (5, 5), (6, 5), (0, 0)])
def test_a_leaf_that_is_not_there_has_no_proof(index: int, size: int) -> None:
    with pytest.raises(ValueError, match="no leaf"):
        TREE.inclusion(index, size)
    assert not verify_inclusion(LEAVES[0], index, size, (), ROOTS[size])


@pytest.mark.parametrize(("old", "size"), [(0, 5), (-1, 5), (6, 5)])
def test_a_beginning_that_is_none_has_no_proof(old: int, size: int) -> None:
    with pytest.raises(ValueError, match="no consistency proof"):
        TREE.consistency(old, size)
    assert old == 0 or not verify_consistency(old, ROOTS[0], size, ROOTS[size], ())


def test_inclusion_for_all_sizes_and_places() -> None:
    for size in range(1, SIZES):
        for index in range(size):
            proof = TREE.inclusion(index, size)
            assert list(proof) == path(index, 0, size)
            assert verify_inclusion(LEAVES[index], index, size, proof, ROOTS[size])


def test_consistency_for_all_pairs_of_sizes() -> None:
    for size in range(1, SIZES):
        for old in range(1, size + 1):
            proof = TREE.consistency(old, size)
            assert list(proof) == subproof(old, 0, size, True)
            assert verify_consistency(old, ROOTS[old], size, ROOTS[size], proof)


def _altered(hashes: tuple[bytes, ...]) -> list[list[bytes]]:
    """The proof with each single hash altered."""
    return [[*hashes[:i], bytes([each[0] ^ 1]) + each[1:], *hashes[i + 1 :]] for i, each in enumerate(hashes)]


@pytest.mark.long
def test_every_single_altered_hash_is_found_for_all_sizes() -> None:
    for size in range(1, SIZES):
        for index in range(size):
            for wrong in _altered(TREE.inclusion(index, size)):
                assert not verify_inclusion(LEAVES[index], index, size, wrong, ROOTS[size])
            for wrong in _altered(TREE.consistency(index + 1, size)):
                assert not verify_consistency(index + 1, ROOTS[index + 1], size, ROOTS[size], wrong)


def _wrong(hashes: tuple[bytes, ...]) -> list[list[bytes]]:
    """The proof with each hash altered, left out, doubled, and with neighbours changed over."""
    proofs = []
    for i, each in enumerate(hashes):
        before, after = list(hashes[:i]), list(hashes[i + 1 :])
        proofs += [
            [*before, bytes([each[0] ^ 1]) + each[1:], *after],
            before + after,
            [*before, each, each, *after],
        ]
    for i, (left, right) in enumerate(pairwise(hashes)):
        if left != right:
            proofs.append([*hashes[:i], right, left, *hashes[i + 2 :]])
    return [*proofs, [*hashes, sha256(b"more").digest()]]


def test_every_wrong_inclusion_proof_is_found() -> None:
    for size in range(1, 34):
        root = TREE.root(size)
        for index in range(size):
            proof = TREE.inclusion(index, size)
            leaf = LEAVES[index]
            assert not any(verify_inclusion(leaf, index, size, wrong, root) for wrong in _wrong(proof))
            assert not verify_inclusion(LEAVES[index + 1], index, size, proof, root)
            assert not verify_inclusion(leaf, index, size, proof, TREE.root(size + 1))
            other = [i for i in range(-1, size + 2) if i != index]
            assert not any(verify_inclusion(leaf, i, size, proof, root) for i in other)


def test_every_wrong_consistency_proof_is_found() -> None:
    for size in range(1, 34):
        root = TREE.root(size)
        for old in range(1, size + 1):
            proof, old_root = TREE.consistency(old, size), TREE.root(old)
            assert not any(verify_consistency(old, old_root, size, root, wrong) for wrong in _wrong(proof))
            assert not verify_consistency(old, TREE.root(old + 1), size, root, proof)
            assert not verify_consistency(old, old_root, size, TREE.root(size + 1), proof)


def test_corner_cases() -> None:
    empty = TREE.root(0)
    assert verify_consistency(0, empty, 5, TREE.root(5), [])
    assert not verify_consistency(0, TREE.root(1), 5, TREE.root(5), [])
    assert not verify_consistency(5, TREE.root(5), 4, TREE.root(4), [])
    assert not verify_consistency(3, TREE.root(3), 5, TREE.root(5), [])
    assert not verify_inclusion(LEAVES[0], 0, 0, [], empty)
    for bad in (lambda: TREE.root(SIZES + 1), lambda: TREE.inclusion(5, 5), lambda: TREE.inclusion(-1),
                lambda: TREE.consistency(0), lambda: TREE.consistency(6, 5)):  # fmt: skip
        with pytest.raises(ValueError, match=r"leaves|leaf"):
            bad()


def test_a_peer_library_has_the_same_roots_and_inclusion_hashes() -> None:
    peer = InmemoryTree(algorithm="sha256")
    for data in DATA:
        peer.append_entry(data)
    for size in range(1, SIZES):
        assert peer.get_root(size) == TREE.root(size)
    for size in (*range(1, 34), 63, 64, 65, 100, 128, 255, 256):
        assert peer.get_root(size) == TREE.root(size)
        for index in range(size):
            theirs = peer.prove_inclusion(index + 1, size).serialize()["path"]  # it counts from 1, and
            ours = {step.hex() for step in TREE.inclusion(index, size)}  # puts the leaf into the path
            assert set(theirs) == ours | {LEAVES[index].hex()}
