"""The demo shop: invented from end to end, one job in every state, dates relative to today.

Everything goes through the same actions as the pages, so the demo can't hold a state that the shop couldn't reach.
"""
