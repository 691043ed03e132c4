"""Addresses of photos."""

from django.urls import path

from logbook.views import photos

urlpatterns = [
    path("photos/of/<slug:thing>/<str:key>/", photos.photo_new, name="photo_new"),
    path("photos/<uuid:pk>/", photos.photo_detail, name="photo_detail"),
    path("photos/<uuid:pk>/strike/", photos.photo_strike, name="photo_strike"),
    path("entries/<int:number>/photos/", photos.entry_add_photos, name="entry_add_photos"),
    path("photos/<uuid:pk>/photo.jpg", photos.photo_file, name="photo_file"),
    path("photos/<uuid:pk>/small.jpg", photos.photo_preview, name="photo_preview"),
]
