"""What gunicorn serves while `bench_crowd` measures: the application's addresses and the view that does nothing."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.test_settings")
application = get_wsgi_application()
settings.ROOT_URLCONF = "bench.urls"
