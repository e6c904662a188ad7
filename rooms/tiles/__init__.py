"""Tiles: the shop's list, the several tiles of a room, and what five of them measure out of the box.

A room wears one of the shop's tiles (`Room.tile`). Where it says other measures of it than the shop does now, they
stand in `Room.more["tile"]`: a tile measured out of one job's boxes, or changed in the shop's list, changes no other
room. Its further tiles are in `Room.more["tiles"]` by what they are for, each as it was taken from the shop's list.
"""
