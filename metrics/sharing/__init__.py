"""What a coach shows a family of an assessment: at most three points, in words and with the picture of each.

Values only: no Django, no clock. A share keeps them as JSON, and nothing that is computed later changes it.
"""

from metrics.sharing.content import MOST_POINTS, BadContent, Before, SharedContent, SharedPoint, Strip

__all__ = ["MOST_POINTS", "BadContent", "Before", "SharedContent", "SharedPoint", "Strip"]
