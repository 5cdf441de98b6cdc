"""How the read API pages its lists. REST framework's settings name this class while its views are being imported,
so the views themselves are in `desk.viewsets`.
"""

from rest_framework.pagination import PageNumberPagination


class Pages(PageNumberPagination):
    page_size = 100
    page_size_query_param = "page_size"
    max_page_size = 500
