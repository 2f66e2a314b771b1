"""What the papers beside the notices say: class page, room poster, door sheet, lists, labels and tags.

Every function takes what is known and gives finished words; what nobody wrote down stays empty and is printed as a
line to fill in. Nothing here guesses a hazard, a telephone number or a place.
"""
