"""What is sawn, from an order to the sawyer's sheet. The solver itself is `making.saw`; it knows no units and no order.

cutting.py      the order's sawn pieces and the shop's bars as saw problems; mitre.py slanted ends
assign.py, cut_sheet.py   the answer in the shop's words: which piece of which rack from which bar, in which order
stop.py         the length stop away from 20 °C
replan.py       what a new plan does otherwise than the one before
purchase.py     what is lacking, and what to buy
instance.py, answer.py    the solver's open file format
"""
