"""A picture or video that somebody sends: what it is by its bytes, and the same without what tells where it was taken.

Pure: bytes in, bytes out; no Django, no clock, no file. Nothing is decoded: containers are taken apart and put together
again from the parts that a picture needs, so that whatever else a file carried (places, thumbnails, comments, a second
file behind the first) is not kept.
"""

from plans.media_files.kinds import BadMedia, Cleaned, clean

__all__ = ["BadMedia", "Cleaned", "clean"]
