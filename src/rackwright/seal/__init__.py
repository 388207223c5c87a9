"""Hashes, the Merkle tree, signatures and the offline verification of a dossier.

May import: units, trouble.
Stands alone, so that a dossier can be verified in decades with the standard library and one cryptography package.
"""
