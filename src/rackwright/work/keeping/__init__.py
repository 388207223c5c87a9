"""The record in its folder: kept, proved and judged.

shop_folder.py  record, key and papers on disk          backup.py   as one file, and back
heads.py        tree heads that left the building       forks.py    two copies both continued
hindsight.py    the judges of an audit: every gate      balance.py  every quantity
"""
