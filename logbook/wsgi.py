"""The door for web servers."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "logbook.settings")
application = get_wsgi_application()
# A page over a whole fleet holds some 100,000 objects at once; looking for rings among them every 700 took two fifths
# of what such a page costs. What the program itself is made of is never looked through again.
gc.freeze()
gc.set_threshold(10_000, 20, 20)
